"""The letters that end a claim, move it to the supplier, or certify facts for it."""

from typing import Any

from claims.rules.letters.claim_letter import LetterKind
from claims.rules.letters.non_receipt import NON_RECEIPT
from claims.rules.letters.salvage import SALVAGE_ACCOUNT, SALVAGE_OFFER
from claims.rules.letters.supplier_papers import ASSIGNMENT, AUTHORITY, HAND_OVER
from claims.rules.letters.technician import STATEMENT
from claims.rules.letters.withdrawal import WITHDRAWAL

KINDS_OF_ENDINGS: tuple[LetterKind[Any], ...] = (
    WITHDRAWAL,
    HAND_OVER,
    ASSIGNMENT,
    AUTHORITY,
    SALVAGE_OFFER,
    SALVAGE_ACCOUNT,
    NON_RECEIPT,
    STATEMENT,
)

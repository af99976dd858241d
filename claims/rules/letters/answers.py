"""The letters that answer a carrier's offer or its written denial."""

from typing import Any

from claims.rules.letters.acceptance import ACCEPTANCE
from claims.rules.letters.claim_letter import LetterKind
from claims.rules.letters.counter_offer import COUNTER_OFFER
from claims.rules.letters.rebuttal import REBUTTAL
from claims.rules.letters.refusal import REFUSAL

KINDS_OF_ANSWERS: tuple[LetterKind[Any], ...] = (
    COUNTER_OFFER,
    REBUTTAL,
    ACCEPTANCE,
    REFUSAL,
)

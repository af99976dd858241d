"""Every kind of letter about a claim, by its key, in the order in which they are listed."""

from typing import Any

from claims.rules.letters.claim_letter import LetterKind
from claims.rules.letters.waiting import KINDS_OF_WAITING

KINDS: dict[str, LetterKind[Any]] = {
    kind.key: kind for kinds in (KINDS_OF_WAITING,) for kind in kinds
}

"""Why a memo line pays less: the supplier's remark first, then the figures."""

import re

from inventory.rules.memos.types import LATE, MISSING_PART, PRICE, Awaited, Line
from inventory.rules.reckoning.money import amount_words


def _words(*forms: str) -> re.Pattern[str]:
    """Return a pattern of whole words; a space stands for spaces or a hyphen."""
    either = "|".join(forms).replace(" ", r"[\s\-]+")
    return re.compile(rf"(?<![^\W_])(?:{either})(?![^\W_])")


_LATE = _words("late", "overdue", "past due", "days? out(?:standing)?", "expired")
_HARM = _words(
    "missing",
    "damaged?",
    "damages",
    "broken",
    "bent",
    "cracked",
    "dented",
    "repair(?:s|ed|ing)?",
)
_PARTS = _words("parts?", "panels?", "brackets?", "hardware", "lids?")
_NOT_A_PART = _words("in part", "part (?:payment|paid|credit|credited|load|of)")
"""The word "part" where no part of a crate is meant."""

_DENIALS = _words(
    "no", "not", "never", "none", "nothing", "without", r"[a-z]+n['\u2019]t"
)
_CLAUSE_ENDS = re.compile(r"[,;:!?()\n]|\.(?!\d)|(?<![^\W_])but(?![^\W_])")
_MOST_PIECES = 9


def cause_of(line: Line, row: Awaited, currency: str) -> tuple[str, str]:
    """Return why a line pays less (late, missing-part or price) and the evidence."""
    said = said_cause(line.remark)
    if said == LATE:
        return LATE, "the supplier's remark says it was late"
    if said == MISSING_PART:
        return MISSING_PART, "the supplier's remark names parts"
    if line.amount in row.later_credits:
        return LATE, "it equals the credit of a later day"
    gap = row.open_cents - line.amount
    for price in sorted(set(row.part_prices) - {0}, reverse=True):
        pieces, rest = divmod(gap, price)
        if not rest and pieces <= _MOST_PIECES:
            return MISSING_PART, (
                f"it equals the price of {pieces} part{'' if pieces == 1 else 's'} "
                f"at {amount_words(price, currency)}"
            )
    return PRICE, "the supplier used another price"


def said_cause(remark: str) -> str:
    """Return the cause that a remark states: late, missing-part, or "" for neither.

    Whole words only. "Not late" and "no damage" state nothing; "no lid" states a
    missing part.
    """
    clauses = _CLAUSE_ENDS.split(remark.casefold())
    if any(_states_late(clause) for clause in clauses):
        return LATE
    return MISSING_PART if any(_states_part(clause) for clause in clauses) else ""


def _states_late(clause: str) -> bool:
    return bool(_LATE.search(_DENIALS.split(clause, maxsplit=1)[0]))


def _states_part(clause: str) -> bool:
    affirmed, *denied = _DENIALS.split(_NOT_A_PART.sub(" ", clause), maxsplit=1)
    if _HARM.search(affirmed):
        return True
    # "No lid" lacks a part; "no parts missing" and "panel not bent" lack nothing.
    rest = " ".join(denied)
    return not _HARM.search(rest) and bool(_PARTS.search(affirmed + " " + rest))

"""What must be settled before a month is locked, and what may be carried on.

Which checks a month end has is common practice of bookkeepers, no source. What the
books say against themselves is never carried: a lock would seal a mistake.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from types import MappingProxyType

OpenRow = tuple[str, str, int]
"""One row that is open: its key, its currency and its cents."""

MEMOS = "memos"
TRIAL = "trial-balance"
TIES = "claims-tie"
PROOF = "proof-of-delivery"
SHORT = "short-credits"
SUSPENSE = "suspense"
CHARGES = "charges"
STATEMENTS = "statements"


@dataclass(frozen=True, slots=True)
class CheckKind:
    """One check: its words, and whether a person may carry it unfinished."""

    label: str
    may_carry: bool = True


CHECKS = MappingProxyType(
    {
        MEMOS: CheckKind("Credit memos not posted"),
        TRIAL: CheckKind("Entries that do not balance", may_carry=False),
        TIES: CheckKind("Claims list against the ledger", may_carry=False),
        PROOF: CheckKind("Claims without proof of delivery"),
        SHORT: CheckKind("Short-paid credits, undecided"),
        SUSPENSE: CheckKind("Suspense lines, undecided"),
        CHARGES: CheckKind("Charges without a crate"),
        STATEMENTS: CheckKind("Statements that disagree"),
    }
)
"""The checks of a month, in their order."""

DONE, CARRIED, OPEN = "done", "carried", "open"


def state_of(found: Iterable[OpenRow], carried: Iterable[OpenRow]) -> str:
    """Return whether a check is done, carried, or open beyond what was carried.

    A row whose amount changed since is another row.
    """
    rows = set(found)
    if not rows:
        return DONE
    return CARRIED if rows <= set(carried) else OPEN


def sums_of(rows: Iterable[OpenRow]) -> tuple[tuple[str, int], ...]:
    """Return the cents of each currency; two are never added."""
    sums: dict[str, int] = {}
    for _, currency, cents in rows:
        sums[currency] = sums.get(currency, 0) + cents
    return tuple(sorted(sums.items()))


def rows_from(kept: Sequence[Sequence[object]]) -> tuple[OpenRow, ...]:
    """Return the rows as they were kept with what was carried."""
    return tuple(
        (str(key), str(currency), cents)
        for key, currency, cents in kept
        if isinstance(cents, int)
    )

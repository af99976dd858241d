"""The posting table of a claim: each act, its two sides, and why.

"Open" is claims receivable, or the register beside the books while the claim is not
booked; a supplier's claim opens the supplier's own line. What an act opens or closes
goes against the allowance, so that gross and net are both on the books; the entry
"valued" brings the allowance to the figure that may be shown.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from claims.rules.books import kinds

OPEN = frozenset({kinds.REGISTER, kinds.RECEIVABLE, kinds.SUPPLIER_CLAIMS})
DISPUTED = frozenset({kinds.REGISTER_DECLINED, kinds.DISPUTED})
STILL_OPEN = OPEN | DISPUTED
AGAINST = frozenset({kinds.ALLOWANCE, kinds.CONTRA})

MEMORY = "from memory"
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Row:
    """One act: the accounts it may debit and credit, the counter-account, and why."""

    act: str
    debit: frozenset[str]
    credit: frozenset[str]
    counter: str
    why: str
    source: str
    confidence: str


def _only(kind: str) -> frozenset[str]:
    return frozenset({kind})


_ROWS = (
    Row(
        kinds.LOSS_BOOKED,
        _only(kinds.LOSS),
        frozenset({kinds.AT_COST, kinds.WAY_HOME}),
        "inventory written down, repairs at cost; crates lost by carriers and claimed",
        "The damage is our loss before anyone owes it to us. A crate lost on the way "
        "home stands in the supplier's book as lost by a carrier: claimed, it nets to "
        "nothing there, so that it is never an asset twice.",
        "ASC 330-10-35",
        MEMORY,
    ),
    Row(
        kinds.FILED,
        OPEN,
        AGAINST,
        "allowance",
        "Filed in writing for a stated amount; gross, with an allowance down to what "
        "may be shown.",
        "49 CFR 370.3(b); ASC 450-30",
        MEMORY,
    ),
    Row(
        kinds.SUPPLEMENT,
        OPEN,
        AGAINST,
        "allowance",
        "A later find, filed as the claim was.",
        "49 CFR 370.3(b)",
        MEMORY,
    ),
    Row(
        kinds.STRUCK,
        OPEN | AGAINST,
        OPEN | AGAINST,
        "allowance",
        "A line struck or changed before the carrier has it in its new form.",
        "the claim's own lines",
        PRACTICE,
    ),
    Row(
        kinds.REDUCTION,
        AGAINST,
        STILL_OPEN,
        "allowance",
        "We agreed to less in writing: our decision releases the rest.",
        "UCC 1-306",
        MEMORY,
    ),
    Row(
        kinds.DECLINED,
        DISPUTED,
        OPEN,
        "disputed claims",
        "A denial moves the amount and releases nothing; presumed not probable.",
        "49 U.S.C. 14706(e); ASC 410-30",
        MEMORY,
    ),
    Row(
        kinds.BOOKED,
        OPEN | DISPUTED,
        frozenset({kinds.REGISTER, kinds.REGISTER_DECLINED}),
        "the register beside the books",
        "The carrier agreed in writing, so the claim is booked.",
        "ASC 450-30",
        MEMORY,
    ),
    Row(
        kinds.PAID,
        frozenset({kinds.CASH, kinds.OWED}),
        STILL_OPEN | {kinds.OWED},
        "money received on claims",
        "Money in; what exceeds the claim is owed to the carrier until the claim takes it.",
        "ASC 405-20-40-1",
        MEMORY,
    ),
    Row(
        kinds.CREDIT,
        frozenset({kinds.FREIGHT, kinds.MEMOS, kinds.OWED}),
        STILL_OPEN | {kinds.OWED},
        "open freight bills, supplier credits received",
        "Paid by a credit against what we owe: freight, or the supplier's account.",
        "ASC 210-20-45",
        MEMORY,
    ),
    Row(
        kinds.REST,
        frozenset({kinds.CASH, kinds.FREIGHT, kinds.MEMOS}),
        _only(kinds.OWED),
        "owed to carriers",
        "What a remittance brings beyond the claims it is put against, with its "
        "explanation.",
        "ASC 405-20-40-1",
        MEMORY,
    ),
    Row(
        kinds.KEPT,
        _only(kinds.SALVAGE),
        STILL_OPEN | {kinds.OWED},
        "salvage kept",
        "A claim is the loss less its salvage; what the lines deduct counts once.",
        "49 CFR 370.11",
        MEMORY,
    ),
    Row(
        kinds.SETTLED,
        AGAINST,
        STILL_OPEN,
        "allowance, or claims written off for what was shown",
        "We closed the claim for less than was open.",
        "ASC 310-10-35-41",
        MEMORY,
    ),
    Row(
        kinds.NOT_PURSUED,
        AGAINST,
        STILL_OPEN,
        "allowance, or claims written off for what was shown",
        "We decided not to pursue it.",
        "ASC 310-10-35-41",
        MEMORY,
    ),
    Row(
        kinds.WITHDRAWN,
        AGAINST,
        STILL_OPEN,
        "allowance, or claims written off for what was shown",
        "We took the claim back.",
        "ASC 310-10-35-41",
        MEMORY,
    ),
    Row(
        kinds.VALUED,
        frozenset(kinds.VALUE),
        frozenset(kinds.VALUE),
        "recovered on claims, recovered above the loss",
        "Never above the loss booked; the excess only when it is paid.",
        "ASC 410-30; ASC 450-30",
        MEMORY,
    ),
    Row(
        kinds.OPENED,
        STILL_OPEN,
        frozenset({*AGAINST, kinds.OPENING}),
        "opening balances of claims",
        "Filed before the books took claims in: what is open on the day chosen.",
        "the claim's own record",
        PRACTICE,
    ),
)

TABLE: Mapping[str, Row] = {row.act: row for row in _ROWS}
"""By the kind of entry. A reversal has the lines of its entry with the other sign; an
entry is in one currency, and no sum crosses two."""

"""What lies below the open claims of the desk, each part with its count and its sum."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import QuerySet

from claims.models import Claim, Deadline
from claims.queries.claim.listing import closed_claims, money_on
from claims.queries.core.labels import duty_label
from claims.queries.core.unclaimed import Unclaimed
from claims.queries.deadlines.lapses import Stakes, day_that_counts, notice_kind_for
from claims.rules.claim.life import SETTLED
from claims.rules.claim.payments import Money
from inventory.queries.crates.yard import HeldRow

LATELY = timedelta(days=90)
MOST = 8


@dataclass(frozen=True)
class Fold:
    """One part that opens: how many, the sums in cents by currency, the first rows.

    ``is_open`` where somebody asked for all of it.
    """

    count: int
    rows: Sequence[object]
    cents: dict[str, int] = field(default_factory=dict)
    claimed: dict[str, int] = field(default_factory=dict)
    late: int = 0
    is_open: bool = False

    @property
    def more(self) -> int:
        """Return how many rows are not shown."""
        return len(self.rows) - len(self.shown)

    @property
    def shown(self) -> Sequence[object]:
        """Return the rows that are shown: all of them where it was asked for."""
        return self.rows if self.is_open else self.rows[:MOST]


@dataclass(frozen=True)
class OpenNotice:
    """One notice that a supplier must still get."""

    duty: Deadline
    label: str
    kind: str
    day: date
    cents: int
    is_late: bool


def found_fold(groups: Sequence[Unclaimed]) -> Fold:
    """Return the findings that no claim has yet, by freight bill."""
    return Fold(
        count=sum(len(one.findings) + len(one.blocked) for one in groups),
        rows=groups,
        cents=_sums((one.currency, one.amount_cents) for one in groups),
    )


def notice_fold(duties: Iterable[Deadline], today: date) -> Fold:
    """Return the notices that suppliers must still get, the earliest first."""
    rows = sorted(
        (row for row in duties if row.duty.startswith("supplier-")),
        key=lambda row: (day_that_counts(row), row.pk),
    )
    worth = Stakes.of({row.shipment_id for row in rows}, ()).findings
    notices = [
        OpenNotice(
            duty=row,
            label=duty_label(row.duty),
            kind=notice_kind_for(row.duty),
            day=day_that_counts(row),
            cents=worth.get(row.shipment_id, 0),
            is_late=day_that_counts(row) < today,
        )
        for row in rows
    ]
    bills = {one.duty.shipment_id: one for one in notices}.values()
    return Fold(
        count=len(notices),
        rows=notices,
        cents=_sums((one.duty.shipment.currency, one.cents) for one in bills),
        late=sum(one.is_late for one in notices),
    )


def held_fold(rows: Sequence[HeldRow]) -> Fold:
    """Return the crates whose packaging must stay for the carrier."""
    deposits = [row.days.deposit for row in rows if row.days.deposit]
    return Fold(
        count=len(rows),
        rows=rows,
        cents=_sums((row.currency, row.amount_cents) for row in deposits),
    )


def closed_folds(claims: QuerySet[Claim], today: date) -> tuple[Fold, Fold]:
    """Return the claims settled in the last 90 days, and those that ended otherwise."""
    lately = claims.filter(pk__among=_ended_since(today - LATELY))
    rows = [(claim, money_on(claim)) for claim in closed_claims(lately)]
    settled = [row for row in rows if row[0].state == SETTLED]
    return _closed(settled), _closed([row for row in rows if row not in settled])


def _ended_since(day: date) -> QuerySet[Claim, tuple[int]]:
    """Return the keys of what ended since a day; each of the days has its own index."""
    columns = ("closed_on", "settled_on", "withdrawn_on")
    first, *others = (
        Claim.objects.filter(**{f"{column}__gte": day}).order_by().values_list("pk")
        for column in columns
    )
    return first.union(*others)


def _closed(rows: list[tuple[Claim, Money]]) -> Fold:
    return Fold(
        count=len(rows),
        rows=rows,
        cents=_sums((claim.currency, money.paid_cents) for claim, money in rows),
        claimed=_sums((claim.currency, money.claimed_cents) for claim, money in rows),
    )


def _sums(amounts: Iterable[tuple[str, int]]) -> dict[str, int]:
    sums: dict[str, int] = defaultdict(int)
    for currency, cents in amounts:
        sums[currency] += cents
    return dict(sorted((key, cents) for key, cents in sums.items() if cents))

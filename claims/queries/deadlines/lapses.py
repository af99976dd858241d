"""Our own duties due this week, by who must meet them, with the money at risk.

Every function takes rows already narrowed to what the person may see and uses a
fixed number of queries, however many rows there are.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimLine, Deadline, Finding
from claims.queries.bench.unopened import UnopenedCrate
from claims.queries.core.facts import finding_cents
from claims.queries.core.labels import duty_label
from claims.queries.core.payments import claim_money, payments_prefetch
from claims.queries.core.unclaimed import payable
from claims.rules.claim import life as lifecycle

THIS_WEEK = timedelta(days=7)

HANDS = {
    "open": "Technician: open the crate",
    "notice": "Manager: write and send the notice, and prove its delivery",
    "claim": "Manager: send the claim and prove its delivery",
    "suit": "Manager: see a lawyer",
}
"""Who must meet a duty, in the order of the desk."""


@dataclass(frozen=True)
class Lapse:
    """One duty of ours that is due, with the money at risk (cents).

    ``key`` names the crate or the deadline. ``day`` is the one that counts: the
    safe day, or the manager's own where it is earlier. ``amount_cents`` is None
    where nothing is priced. ``days_left`` is negative once the day is past.
    """

    hand: str
    key: int
    shipment_id: int
    claim_id: int | None
    delivery_id: int | None
    label: str
    what: str
    pro_number: str
    day: date
    due: date
    send_by: date | None
    days_left: int
    amount_cents: int | None
    currency: str
    notice_kind: str

    @property
    def state(self) -> str:
        """Return late or running."""
        return "late" if self.days_left < 0 else "running"

    @property
    def days_words(self) -> str:
        """Return how many days are left, or how late it is."""
        count = abs(self.days_left)
        days = "1 day" if count == 1 else f"{count} days"
        if self.days_left == 0:
            return "Today"
        return f"{days} left" if self.days_left > 0 else f"{days} late"


def open_duties(rows: QuerySet[Deadline]) -> QuerySet[Deadline]:
    """Return the duties that still run: not superseded, not met, of no closed claim."""
    return (
        rows.filter(superseded_at=None, met_on=None)
        .exclude(claim__state__in=(*lifecycle.LIFE.final, lifecycle.WITHDRAWING))
        .select_related("shipment__carrier", "shipment__location", "claim", "delivery")
        .prefetch_related("overrides")
        .order_by("safe", "pk")
    )


def lapsing(
    rows: QuerySet[Deadline], crates: Sequence[UnopenedCrate], today: date
) -> list[Lapse]:
    """Return what is due within a week or late, by who must meet it.

    A closed crate counts for its own deadlines. For one person the earliest comes
    first, the larger amount before the smaller.
    """
    found = [
        row
        for row in open_duties(rows).filter(owed_by="claimant")
        if day_that_counts(row) <= today + THIS_WEEK
    ]
    stakes = Stakes.of({row.shipment_id for row in found}, crates)
    lapses = [_crate_lapse(one) for one in crates if _is_soon(one)]
    lapses += [
        _lapse(row, stakes, today) for row in found if hand_of(row, stakes) != "open"
    ]
    order = list(HANDS)
    return sorted(
        lapses,
        key=lambda one: (
            order.index(one.hand),
            one.day,
            -(one.amount_cents or 0),
            one.key,
        ),
    )


def _is_soon(crate: UnopenedCrate) -> bool:
    return crate.days_left is not None and crate.days_left <= THIS_WEEK.days


def own_date(row: Deadline) -> date | None:
    """Return the manager's own date, the last one set; overrides must be loaded."""
    overrides = list(row.overrides.all())
    return overrides[-1].due if overrides else None


def day_that_counts(row: Deadline) -> date:
    """Return the day that counts: the safe day, or our own where it is the earlier.

    What the carrier owes counts to its due day: only we have to be safe.
    """
    if row.owed_by != "claimant":
        return row.due
    own = own_date(row)
    return min(row.safe, own) if own else row.safe


@dataclass(frozen=True)
class Stakes:
    """The money on each freight bill: findings and open claims, in cents.

    ``claims`` gives what is not paid yet of each open claim, ``bills`` their sum by bill.
    ``closed`` names each bill and truck with a crate still closed, ``hidden`` the
    bills on which concealed damage was found.
    """

    closed: frozenset[tuple[int, int | None]]
    hidden: frozenset[int]
    findings: Mapping[int, int]
    claims: Mapping[int, int]
    bills: Mapping[int, int]

    @classmethod
    def of(cls, shipment_ids: set[int], crates: Iterable[UnopenedCrate]) -> "Stakes":
        """Read the stakes of these freight bills, in a fixed number of queries."""
        closed = {(one.crate.shipment_id, one.crate.delivery_id) for one in crates}
        claims = _open_claims(shipment_ids)
        bills: dict[int, int] = defaultdict(int)
        for row, cents in claims:
            bills[row.shipment_id] += cents
        return cls(
            frozenset(closed),
            _hidden(shipment_ids),
            _finding_values(shipment_ids),
            {row.pk: cents for row, cents in claims},
            bills,
        )

    def amount(self, row: Deadline) -> int | None:
        """Return the money at risk with this duty, None where none is priced."""
        if row.claim_id is not None:
            return self.claims.get(row.claim_id) or None
        key = row.shipment_id
        return self.bills.get(key) or self.findings.get(key) or None


def _hidden(shipment_ids: set[int]) -> frozenset[int]:
    found = Finding.objects.filter(shipment_id__in=shipment_ids, could_be_seen=False)
    rows = payable(found)
    return frozenset(rows.order_by().values_list("shipment_id", flat=True))


def _finding_values(shipment_ids: set[int]) -> dict[int, int]:
    rows = (
        payable(Finding.objects.filter(shipment_id__in=shipment_ids))
        .exclude(
            pk__in=ClaimLine.objects.filter(
                holds=True, claim__state__in=lifecycle.LIFE.final
            ).values("finding_id")
        )
        .select_related("shipment__location", "unit")
        .prefetch_related("parts", "booked")
        .order_by("pk")
    )
    found: dict[int, int] = defaultdict(int)
    for row in rows:
        found[row.shipment_id] += finding_cents(row)
    return found


def _open_claims(shipment_ids: set[int]) -> list[tuple[Claim, int]]:
    """Return each open claim of these freight bills with its balance."""
    rows = (
        Claim.objects.filter(
            shipment_id__in=shipment_ids, state__in=lifecycle.LIFE.live
        )
        .exclude(state=lifecycle.WITHDRAWING)
        .prefetch_related(
            Prefetch("lines", ClaimLine.objects.order_by("pk")), payments_prefetch()
        )
        .order_by("pk")
    )
    return [(row, claim_money(row).balance_cents) for row in rows]


def hand_of(row: Deadline, stakes: Stakes) -> str:
    """Return who must meet this duty: open, notice, claim or suit."""
    if row.duty in {"claim", "suit"}:
        return row.duty
    has_closed = (row.shipment_id, row.delivery_id) in stakes.closed
    is_hidden = row.duty == "concealed-notice" or row.duty.startswith("supplier-")
    waits_for = stakes.hidden if row.duty == "concealed-notice" else stakes.findings
    has_finding = row.shipment_id in waits_for
    return "open" if has_closed and is_hidden and not has_finding else "notice"


def notice_kind_for(duty: str) -> str:
    """Return the kind of notice that meets this duty; "" where none does."""
    if duty.startswith("supplier-"):
        return "supplier"
    return {
        "concealed-notice": "concealed",
        "apparent-notice": "protest",
    }.get(duty, "")


def _crate_lapse(one: UnopenedCrate) -> Lapse:
    crate = one.crate
    day = one.last_day or one.arrived_on
    return Lapse(
        hand="open",
        key=crate.pk,
        shipment_id=crate.shipment_id,
        claim_id=None,
        delivery_id=crate.delivery_id,
        label=f"Open crate {crate.number}",
        what=", ".join(one.machines) or crate.mark,
        pro_number=one.pro_number,
        day=day,
        due=day,
        send_by=None,
        days_left=one.days_left or 0,
        amount_cents=one.value_cents,
        currency=one.currency,
        notice_kind="",
    )


def _lapse(row: Deadline, stakes: Stakes, today: date) -> Lapse:
    day = day_that_counts(row)
    carrier = row.shipment.carrier.name
    return Lapse(
        hand=hand_of(row, stakes),
        key=row.pk,
        shipment_id=row.shipment_id,
        claim_id=row.claim_id,
        delivery_id=row.delivery_id,
        label=duty_label(row.duty),
        what=f"Claim {row.claim.number}, {carrier}" if row.claim else carrier,
        pro_number=row.shipment.pro_number,
        day=day,
        due=row.due,
        send_by=row.send_by,
        days_left=(day - today).days,
        amount_cents=stakes.amount(row),
        currency=row.shipment.currency,
        notice_kind=notice_kind_for(row.duty),
    )

"""Our own duties that lapse this week, by whose hand, with the money on each.

Every function takes rows already narrowed to what the person may see and asks a
fixed number of questions, however many rows there are.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimLine, Deadline, Finding
from claims.queries.facts import claim_cents, finding_cents
from claims.queries.labels import duty_label
from inventory.models import Crate, Unit

THIS_WEEK = timedelta(days=7)

HANDS = {
    "open": "Technician: open the crate",
    "notice": "Manager: write, send and prove the notice",
    "claim": "Manager: send the claim and prove its receipt",
    "suit": "Manager: see a lawyer",
}
"""By whose hand a duty is met, in the order in which the desk names them."""


@dataclass(frozen=True)
class Lapse:
    """One duty of ours that lapses, with the money that hangs on it (cents).

    ``amount_cents`` is None where nothing is priced. ``days_left`` is negative
    once the safe date is past.
    """

    deadline_id: int
    shipment_id: int
    claim_id: int | None
    delivery_id: int | None
    hand: str
    label: str
    pro_number: str
    carrier_name: str
    what: str
    due: date
    safe: date
    send_by: date
    own_date: date | None
    days_left: int
    amount_cents: int | None
    currency: str
    notice_kind: str

    @property
    def state(self) -> str:
        """Return late or running."""
        return "late" if self.days_left < 0 else "running"


def open_duties(rows: QuerySet[Deadline]) -> QuerySet[Deadline]:
    """Keep the duties that still run: neither superseded nor met."""
    return (
        rows.filter(superseded_at=None, met_on=None)
        .select_related("shipment__carrier", "shipment__location", "claim", "delivery")
        .prefetch_related("overrides")
        .order_by("safe", "pk")
    )


def lapsing(rows: QuerySet[Deadline], today: date) -> list[Lapse]:
    """Return our own duties that lapse within a week or have lapsed, by hand.

    Within one hand the earliest comes first, the dearer one before the cheaper.
    """
    found = [
        row
        for row in open_duties(rows).filter(owed_by="claimant")
        if day_that_counts(row) <= today + THIS_WEEK
    ]
    stakes = Stakes.of({row.shipment_id for row in found})
    lapses = [_lapse(row, stakes, today) for row in found]
    order = list(HANDS)
    return sorted(
        lapses,
        key=lambda one: (
            order.index(one.hand),
            one.own_date or one.safe,
            -(one.amount_cents or 0),
            one.deadline_id,
        ),
    )


def at_stake(lapses: Iterable[Lapse]) -> int:
    """Return the money that hangs on these duties, each freight bill once (cents)."""
    by_bill: dict[int, int] = defaultdict(int)
    for one in lapses:
        by_bill[one.shipment_id] = max(by_bill[one.shipment_id], one.amount_cents or 0)
    return sum(by_bill.values())


def own_date(row: Deadline) -> date | None:
    """Return the manager's own date, the last one set; overrides must be loaded."""
    overrides = list(row.overrides.all())
    return overrides[-1].due if overrides else None


def day_that_counts(row: Deadline) -> date:
    """Return the day that counts: our own date only where it is the earlier one."""
    own = own_date(row)
    return min(row.safe, own) if own else row.safe


@dataclass(frozen=True)
class Stakes:
    """What hangs on each freight bill: closed crates, findings, claims (cents)."""

    closed: Mapping[tuple[int, int | None], tuple[int, int | None]]
    findings: Mapping[int, int]
    claims: Mapping[int, int]

    @classmethod
    def of(cls, shipment_ids: set[int]) -> "Stakes":
        """Read the stakes of these freight bills in three questions."""
        return cls(
            _closed_crates(shipment_ids),
            _finding_values(shipment_ids),
            _claim_values(shipment_ids),
        )

    def amount(self, row: Deadline) -> int | None:
        """Return the money that hangs on this duty, None where none is priced."""
        closed = self.closed.get((row.shipment_id, row.delivery_id))
        parts = [
            self.claims.get(row.shipment_id) or self.findings.get(row.shipment_id),
            closed[1] if closed and hand_of(row, self) == "open" else None,
        ]
        known = [part for part in parts if part]
        return max(known) if known else None


def _closed_crates(
    shipment_ids: set[int],
) -> dict[tuple[int, int | None], tuple[int, int | None]]:
    crates = (
        Crate.objects.filter(shipment_id__in=shipment_ids, opened_at=None)
        .exclude(look="refused")
        .prefetch_related(Prefetch("units", Unit.objects.order_by("pk")))
        .order_by("pk")
    )
    found: dict[tuple[int, int | None], tuple[int, int | None]] = {}
    for crate in crates:
        key = (crate.shipment_id, crate.delivery_id)
        count, cents = found.get(key, (0, None))
        for unit in crate.units.all():
            if unit.invoice_cents is not None:
                cents = (cents or 0) + unit.invoice_cents
        found[key] = (count + 1, cents)
    return found


def _finding_values(shipment_ids: set[int]) -> dict[int, int]:
    rows = (
        Finding.objects.filter(shipment_id__in=shipment_ids)
        .select_related("shipment__location", "unit")
        .prefetch_related("parts")
        .order_by("pk")
    )
    found: dict[int, int] = defaultdict(int)
    for row in rows:
        found[row.shipment_id] += finding_cents(row)
    return found


def _claim_values(shipment_ids: set[int]) -> dict[int, int]:
    rows = (
        Claim.objects.filter(shipment_id__in=shipment_ids)
        .exclude(state="withdrawn")
        .prefetch_related(Prefetch("lines", ClaimLine.objects.order_by("pk")))
        .order_by("pk")
    )
    return {row.shipment_id: claim_cents(row) for row in rows}


def hand_of(row: Deadline, stakes: Stakes) -> str:
    """Return by whose hand this duty is met: open, notice, claim or suit."""
    if row.duty in {"claim", "suit"}:
        return row.duty
    has_closed = (row.shipment_id, row.delivery_id) in stakes.closed
    is_hidden = row.duty == "concealed-notice" or row.duty.startswith("supplier-")
    has_finding = stakes.findings.get(row.shipment_id) is not None
    return "open" if has_closed and is_hidden and not has_finding else "notice"


def notice_kind_for(duty: str) -> str:
    """Return the kind of notice that meets this duty; "" where none does."""
    if duty.startswith("supplier-"):
        return "supplier"
    return {
        "concealed-notice": "concealed",
        "apparent-notice": "protest",
    }.get(duty, "")


def _lapse(row: Deadline, stakes: Stakes, today: date) -> Lapse:
    hand = hand_of(row, stakes)
    closed = stakes.closed.get((row.shipment_id, row.delivery_id))
    what = ""
    if hand == "open" and closed:
        what = f"{closed[0]} closed crate{'' if closed[0] == 1 else 's'}"
    elif row.claim:
        what = f"Claim {row.claim.number}"
    return Lapse(
        deadline_id=row.pk,
        shipment_id=row.shipment_id,
        claim_id=row.claim_id,
        delivery_id=row.delivery_id,
        hand=hand,
        label=duty_label(row.duty),
        pro_number=row.shipment.pro_number,
        carrier_name=row.shipment.carrier.name,
        what=what,
        due=row.due,
        safe=row.safe,
        send_by=row.send_by,
        own_date=own_date(row),
        days_left=(day_that_counts(row) - today).days,
        amount_cents=stakes.amount(row),
        currency=row.shipment.currency,
        notice_kind=notice_kind_for(row.duty),
    )

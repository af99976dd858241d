"""The duties that still run: the day that counts, who must meet them, what depends.

Every function takes rows already narrowed to what the person may see and uses a
fixed number of queries, however many rows there are.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimLine, Deadline, Finding
from claims.queries.bench.unopened import UnopenedCrate
from claims.queries.core.facts import finding_cents
from claims.queries.core.payments import claim_money, payments_prefetch
from claims.queries.core.unclaimed import payable
from claims.rules.claim import life as lifecycle
from claims.rules.deadlines.bankruptcy import DUTY as PROOF_OF_CLAIM
from claims.rules.deadlines.clock_words import Standing, standing_of


def open_duties(rows: QuerySet[Deadline]) -> QuerySet[Deadline]:
    """Return the duties that still run: not superseded, not met, of no closed claim."""
    running = Deadline.objects.filter(superseded_at=None, met_on=None)
    return (
        rows.filter(pk__among=running.order_by().values("pk"))
        .exclude(claim__state__in=(*lifecycle.LIFE.final, lifecycle.WITHDRAWING))
        .select_related("shipment__carrier", "shipment__location", "claim", "delivery")
        .prefetch_related("overrides")
        .order_by("safe", "pk")
    )


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


def standing_on(row: Deadline, today: date) -> Standing:
    """Return how the duty stands on this day; overrides must be loaded."""
    return standing_of(
        today=today,
        due=row.due,
        safe=row.safe,
        met_on=row.met_on,
        is_ours=row.owed_by == "claimant",
        own=own_date(row),
    )


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
    if row.duty == PROOF_OF_CLAIM:
        return "suit"
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

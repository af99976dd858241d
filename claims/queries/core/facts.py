"""Rows turned into the frozen facts that the rules need."""

from dataclasses import dataclass

from claims.models import Claim, ClaimLine, Finding
from claims.rules.bench.estimates import Estimate, PricedPart, estimate_repair
from claims.rules.bench.minutes import (
    Booked,
    claimed_minutes,
    labor_words,
    time_words,
)


def line_cents(line: ClaimLine) -> int:
    """Return what a line claims: the manager's own amount, or the calculated one."""
    if line.struck_reason:
        return 0
    return line.worked_cents if line.adjusted_cents is None else line.adjusted_cents


def claim_cents(claim: Claim) -> int:
    """Return what the claim demands: its lines less what was already recovered."""
    lines = [line for line in claim.lines.all() if not line.struck_reason]
    full = sum(line_cents(line) for line in lines)
    return max(full - sum(line.recovered_cents for line in lines), 0)


def minutes_of(finding: Finding) -> int:
    """Return the minutes that a finding claims; its booked time must be loaded."""
    return claimed_minutes(
        booked_for(finding), finding.pk, estimate=finding.repair_minutes
    )


def booked_for(finding: Finding) -> list[Booked]:
    """Return the time booked for a finding; it must be loaded."""
    return [
        Booked(row.work, row.minutes, row.finding_id) for row in finding.booked.all()
    ]


def shop_rate_for(finding: Finding) -> int:
    """Return the location's hourly rate in the bill's currency, 0 where it has none."""
    bill = finding.shipment
    return bill.location.shop_rate_in(bill.currency)


def rate_of(finding: Finding, shop_rate_cents: int) -> int | None:
    """Return the hourly rate of a finding: its own as priced, or the location's."""
    rate = finding.rate_cents
    return (shop_rate_cents or None) if rate is None else rate


def priced_parts(finding: Finding) -> list[PricedPart]:
    """Return the parts of a finding's repair; they must be loaded."""
    return [
        PricedPart(part.description, part.quantity, part.price_cents)
        for part in finding.parts.all()
    ]


def estimate_of(finding: Finding, shop_rate_cents: int) -> Estimate:
    """Return the cost of a finding's repair; parts and booked time must be loaded.

    The finding's own rate comes before the location's.
    """
    return estimate_repair(
        parts=priced_parts(finding),
        minutes=minutes_of(finding),
        rate_cents=rate_of(finding, shop_rate_cents),
    )


@dataclass(frozen=True)
class Labor:
    """The labor in the repair of a finding: its time, what it is made of, its price."""

    minutes: int
    made_of: str
    rate_cents: int | None
    cents: int

    @property
    def words(self) -> str:
        """Return the time in words."""
        return time_words(self.minutes)


def labor_of(finding: Finding | None, shop_rate_cents: int) -> Labor | None:
    """Return the labor of a finding, None without any; booked time must be loaded."""
    if finding is None or not minutes_of(finding):
        return None
    estimate = estimate_of(finding, shop_rate_cents)
    return Labor(
        minutes=minutes_of(finding),
        made_of=labor_words(
            booked_for(finding), finding.pk, estimate=finding.repair_minutes
        ),
        rate_cents=rate_of(finding, shop_rate_cents),
        cents=estimate.labor_cents,
    )


def finding_cents(finding: Finding) -> int:
    """Return the current value of a finding: its repair, or the missing machine."""
    if finding.damage_kind == "short" and finding.unit:
        return finding.unit.invoice_cents or 0
    rate = shop_rate_for(finding)
    return estimate_of(finding, rate).total_cents


def was_sent(line: ClaimLine) -> bool:
    """Return whether the line is already with the carrier.

    A line of a supplement goes out with its supplement; one that was made before
    the claim went out goes out with the claim. ``line`` comes with its claim and
    the claim's supplements.
    """
    claim = line.claim
    for row in claim.supplement_rows.all():
        if row.number == line.supplement:
            return row.sent_on is not None
    return claim.sent_on is not None

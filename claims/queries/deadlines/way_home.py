"""The deadlines of a claim under a return's own bill of lading: no truck, no notices.

We are the shipper, so nothing arrives here: no exception, no notice and no duty toward
the supplier runs. The days come from the bill and from the return.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from claims.models import Claim
from claims.queries.core.parties import against_filing
from claims.queries.core.way_home import expected_there
from claims.queries.deadlines.bill_facts import (
    answered_on,
    calendar_code,
    carrier_terms,
    filed_on,
    letters_of,
    received_whole_on,
    stay_of,
)
from claims.queries.deadlines.bills import Bill
from claims.rules.claim.way_home import (
    DAMAGED,
    LOST,
    OUTCOMES,
    TransitFacts,
    losses_of,
)
from claims.rules.deadlines.carrier_duties import (
    DeliveryFacts,
    MetFacts,
    carrier_duties,
)
from claims.rules.deadlines.counted_duty import CountedDuty
from claims.rules.deadlines.facts import Facts
from claims.rules.regimes import REGIMES
from inventory.models import Carrier, CrateReturn
from inventory.rules.reckoning.calendars import in_words

FROM_TRANSIT = (
    "A reasonable time for delivery is taken to end on {day}: the days in transit that the "
    "supplier's terms allow."
)


def of_way_home(bill: Bill, claim: Claim) -> Iterable[CountedDuty]:
    """Return the duties of a claim under a return's bill; none of any other bill."""
    row = bill.shipment.crate_return
    if row is None:
        return ()
    outcomes = [line.outcome for line in claim.lines.all() if not line.struck_reason]
    losses = losses_of(
        TransitFacts(
            is_received=row.received_back_on is not None,
            crates=bill.shipment.pieces_billed or 0,
            lost=outcomes.count(OUTCOMES[LOST]),
            damaged=outcomes.count(OUTCOMES[DAMAGED]),
        )
    )
    regime = REGIMES[bill.shipment.regime]
    base = replace(
        _days(row, bill.shipment.regime, bill.carrier),
        agreed_delivery_on=expected_there(row),
        claim_received_on=filed_on(claim),
        letters=letters_of(claim),
        as_of=bill.as_of if regime.is_inland_us else None,
        calendar=calendar_code(bill.shipment),
    )
    facts = DeliveryFacts(
        base=base,
        losses=losses,
        has_hidden=False,
        has_apparent=False,
        is_claimed=True,
        mail_days=bill.carrier.mail_days,
        is_broker=bill.shipment.carrier_of_record is None,
        not_filed=against_filing(claim),
        stay=stay_of(bill, claim),
    )
    met = MetFacts(
        claim_received_on=received_whole_on(claim),
        acknowledged_on=claim.acknowledged_on,
        answered_on=answered_on(claim),
        closed_on=claim.ended_on,
    )
    return [
        _noted(one, row)
        for one in carrier_duties(facts, met)
        if not (claim.ended_on is not None and one.met_on is None)
    ]


def last_day_to_claim(row: CrateReturn, kinds: Sequence[str]) -> date | None:
    """Return the safe day for a claim that nobody has made, by the usual bill.

    ``kinds`` are those of its crates. None where the day of the bill of lading or the
    carrier is not known.
    """
    if row.carrier is None or row.billed_on is None:
        return None
    losses = {LOST: "non-delivery", DAMAGED: "damage"}
    facts = DeliveryFacts(
        base=_days(row, "us-motor", row.carrier),
        losses=tuple(sorted({losses[kind] for kind in kinds})),
        has_hidden=False,
        has_apparent=False,
        is_claimed=False,
        mail_days=row.carrier.mail_days,
    )
    days = [
        one.safe for one in carrier_duties(facts, MetFacts()) if one.duty == "claim"
    ]
    return min(days, default=None)


def _days(row: CrateReturn, regime: str, carrier: Carrier) -> Facts:
    return Facts(
        regime=regime,
        bill_on=row.billed_on,
        carriage_on=row.billed_on,
        taken_over_on=row.picked_up_on,
        delivered_on=row.received_back_on,
        terms=carrier_terms(carrier),
    )


def _noted(one: CountedDuty, row: CrateReturn) -> CountedDuty:
    """Say whose days in transit stand for a reasonable time, where they count."""
    day = expected_there(row)
    if one.duty != "claim" or day is None or one.starts_on != day:
        return one
    return replace(one, notes=(*one.notes, FROM_TRANSIT.format(day=in_words(day))))

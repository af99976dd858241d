"""One damaged machine in an opened crate, and what is claimed of it."""

from datetime import UTC, date, datetime
from types import SimpleNamespace

from claims.actions.claim.making import Pick, make_claim
from claims.actions.claim.steps import Step
from claims.models import FindingPart
from tests import making

AT = datetime(2026, 3, 16, 15, 0, tzinfo=UTC)
TODAY = date(2026, 3, 16)


def set_stage(people, **bill):
    """Make a signed truck with an opened crate, a machine and a priced finding."""
    shipment = making.make_shipment(location=people.riverside, **bill)
    delivery = making.make_signed_delivery(
        location=people.riverside, carrier=shipment.carrier, signed_by=people.rosa
    )
    handover = making.make_handover(delivery, shipment, words_full="Crate 1: dented.")
    crate = making.make_crate(
        shipment, delivery=delivery, opened_at=AT, opened_on=TODAY
    )
    unit = making.make_unit(crate=crate)
    finding = making.make_finding(crate=crate, unit=unit, repair_minutes=120)
    FindingPart.objects.create(
        finding=finding, description="Deck shell", quantity=1, price_cents=35_000
    )
    return SimpleNamespace(
        shipment=shipment,
        delivery=delivery,
        handover=handover,
        crate=crate,
        unit=unit,
        finding=finding,
    )


def claim_it(people, stage, *, outcome="repair", **over):
    """Make the claim of the stage's finding."""
    values = {
        "shipment": stage.shipment,
        "picks": [Pick(stage.finding, outcome)],
        "claimant": "us",
        "basis": "invoice",
        "person": people.mina,
        "at": AT,
        "today": TODAY,
    }
    return make_claim(**{**values, **over})


def step(people, row, *, on=TODAY, **over):
    """Return one act of the manager's on this row as it stands now."""
    row.refresh_from_db()
    values = {
        "person": people.mina,
        "at": AT,
        "today": TODAY,
        "version": row.version,
        "on": on,
        "reason": "Because.",
        "proof": "Signed by L. Parr.",
    }
    return Step(**{**values, **over})


def second_finding(stage, **over):
    """Record a later find on the same machine, priced by its time alone."""
    return making.make_finding(
        crate=stage.crate, unit=stage.unit, part="engine cowl", **over
    )

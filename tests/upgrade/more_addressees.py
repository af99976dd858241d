"""Claims that went to a broker first, a carrier in bankruptcy, documents in hands."""

from datetime import timedelta

from claims.actions.claim.addressees import address_claim
from claims.actions.claim.bankruptcies import (
    Petition,
    record_bankruptcy,
    record_proof_of_claim,
)
from claims.actions.claim.paper_tasks import Given, give_paper
from claims.actions.claim.steps import Sending, send_claim
from claims.actions.receiving.papers import fill_papers
from fixtures.steps import step
from inventory.actions.people.partners import add_carrier
from inventory.models import Carrier
from tests.upgrade.more_money import step_with


def tell_more_addressees(t, make):
    """Send one claim to a broker, then to its carrier, which goes bankrupt."""
    claim = make(80)
    broker = _company(t, "Teasel Freight Brokers", "broker")
    record = _company(t, "Osier Creek Lines", "motor", legal_name="Osier Creek Inc.")
    bill = claim.shipment
    bill.refresh_from_db()
    fill_papers(
        person=t.manager,
        at=t.moment(t.ago(38), 9),
        shipment=bill,
        version=bill.version,
        broker_id=broker.pk,
        record_carrier_id=record.pk,
    )
    claim = type(claim).objects.get(pk=claim.pk)
    address_claim(claim=claim, to=record, step=step(t, claim, 37))
    for days, to in ((36, broker), (33, record)):
        sending = Sending("post", to, f"9407 1118 {days}")
        send_claim(claim=claim, sending=sending, step=step(t, claim, days))
    _bankrupt(t, claim, record)
    for days, owner in ((20, t.technician), (19, t.manager)):
        given = Given("origin-condition", owner, t.today + timedelta(days=30))
        give_paper(claim=claim, given=given, step=step(t, claim, days))


def _company(t, name, mode, **more):
    at = t.moment(t.ago(39), 9)
    fields = {"name": name, "mode": mode, "usdot_number": "2211334", "scac": "OSCL"}
    fields |= {"mail_days": 4, **more}
    add_carrier(person=t.manager, at=at, periods=[], **fields)
    return Carrier.objects.get(name=name)


def _bankrupt(t, claim, carrier):
    petition = Petition(t.ago(30), "Bankr. D. Neb.", "26-40117")
    later = Petition(
        t.ago(30),
        "Bankr. D. Neb.",
        "26-40117",
        t.today + timedelta(days=60),
        reason="The court set the bar date.",
    )
    for days, one in ((28, petition), (25, later)):
        at = t.moment(t.ago(days), 10)
        record_bankruptcy(carrier=carrier, petition=one, person=t.manager, at=at)
    proof = step_with(t, claim, 22, proof="Claim 14 of the register")
    record_proof_of_claim(claim=claim, step=proof)

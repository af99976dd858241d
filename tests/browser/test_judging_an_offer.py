"""An offer judged on the claim's page, at a desk and on a phone, and the way to accept."""

import os

import pytest

pytestmark = pytest.mark.browser

_OFFER = """
from datetime import timedelta
from django.utils import timezone
from claims.actions.claim import answers, steps
from claims.actions.claim.making import Pick, make_claim
from claims.actions.claim.payments import Received, record_payment
from claims.actions.claim.steps import Step
from claims.models import FindingPart
from inventory.models import Location, Shipment, User
from tests import making
now = timezone.now()
mina = User.objects.get(username="mina")
here = Location.objects.get(code="RIV")
came = now - timedelta(days=150)
first = Shipment.objects.order_by("pk")[0]
theirs = {"location": here, "carrier": first.carrier, "supplier": first.supplier}
bill = making.make_shipment(
    **theirs,
    pro_number="PRO-771904",
    pieces_billed=1,
    bol_on=(came - timedelta(days=4)).date(),
)
for number, paid in enumerate((60, 70, 75, 80, 81, 85, 90, 95, 100)):
    old = making.make_shipment(**theirs, pro_number=f"PRO-77180{number}")
    claim = making.make_claim(
        old,
        state="settled",
        closed_on=(now - timedelta(days=40 + number)).date(),
        made_by=mina,
    )
    making.make_claim_line(claim, worked_cents=100_000)
    making.make_claim_payment(claim, cents=paid * 1_000)
truck = making.make_signed_delivery(location=here, carrier=bill.carrier, arrived_at=came, signed_by=mina)
making.make_handover(truck, bill)
crate = making.make_crate(
    bill, delivery=truck, mark="OF-771904", look="clear", opened_at=came,
    opened_on=making.day_of(came),
)
unit = making.make_unit(bill, crate=crate, serial="TX48-77190")
look = making.make_inspection(
    unit=unit, crate=crate, looked_at=came, looked_on=making.day_of(came),
    looked_by=mina,
)
picks = []
for part, cents in (("mower deck", 71_200), ("hood", 39_840)):
    found = making.make_finding(look, unit=unit, part=part)
    FindingPart.objects.create(
        finding=found, description=part, quantity=1, price_cents=cents
    )
    picks.append(Pick(found, "repair"))

def step(days, **over):
    at = now - timedelta(days=days)
    claim.refresh_from_db()
    return Step(
        person=mina, at=at, today=making.day_of(at), version=claim.version,
        on=making.day_of(at), proof="R. Voss", **over
    )

made = now - timedelta(days=142)
claim = make_claim(
    shipment=bill, picks=picks, claimant="us", basis="invoice", person=mina, at=made,
    today=making.day_of(made),
)
steps.send_claim(claim=claim, how="post", step=step(142))
steps.record_receipt(claim=claim, step=step(140))
steps.record_acknowledgement(claim=claim, carrier_number="GO-26-11873", step=step(120))
record_payment(
    claim=claim, received=Received(38_800, "check", "88213"), step=step(50)
)
making.make_going_on_cost(here, yearly_percent="4.50", months=9, entered_by=mina)
answers.record_offer(
    claim=claim, cents=38_000, step=step(10),
    by_day=making.day_of(now + timedelta(days=8)),
)
print(claim.pk)
"""


@pytest.fixture(scope="module")
def claim(site):
    """Make a claim with a part payment and an open offer; give its page."""
    maker = site.python(_OFFER)
    said, told = maker.communicate()
    assert maker.returncode == 0, told
    return f"/claims/{said.split()[-1]}/"


def keep(visitor, name):
    """Keep a picture of the page where somebody wants to look at it."""
    if folder := os.environ.get("LOOK_AT"):
        visitor.page.screenshot(path=f"{folder}/{name}.png", full_page=True)


@pytest.mark.parametrize("hand", ["desk", "phone"])
def test_the_offer_is_judged_and_each_act_opens_a_preview(hand, claim, request):
    visitor = request.getfixturevalue(hand)
    visitor.sign_in("mina")
    visitor.open(claim)
    keep(visitor, f"claim-{hand}")
    heights = {
        round(
            visitor.page.get_by_role("link", name=f"{act} the offer").bounding_box()[
                "height"
            ]
        )
        for act in ("Accept", "Counter", "Refuse")
    }
    assert len(heights) == 1
    visitor.open(f"{claim}cost-of-going-on/")
    keep(visitor, f"costs-{hand}")
    visitor.open(f"{claim}letters/refusal/")
    keep(visitor, f"refusal-{hand}")
    visitor.open(claim)
    visitor.page.get_by_role("link", name="Accept the offer").click()
    visitor.look()
    keep(visitor, f"who-else-{hand}")

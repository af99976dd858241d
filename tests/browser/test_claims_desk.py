"""The claims desk and a claim, as they are laid out at a desk and on a phone.

What stands on the first screen is our own choice; 320 px without sideways scroll is
WCAG 2.2, 1.4.10 (W3C Recommendation, 2023-10-05), targets of 24 px are 2.5.8.
"""

import pytest

from tests.browser.geometry import complaints_of, covered_on_focus

pytestmark = pytest.mark.browser

FIRST_SCREEN = {"width": 1366, "height": 768}
SIZES = {
    "390 px": ({"width": 390, "height": 844}, 56),
    "320 px": ({"width": 320, "height": 568}, 56),
    "768 px": ({"width": 768, "height": 1024}, 24),
    "1366 px": (FIRST_SCREEN, 24),
}

# Twelve late notices, a claim with an offer, one that is settled.
SCENE = """
from datetime import timedelta
from django.utils import timezone
from claims.actions.claim import answers, endings, making as made, steps
from claims.actions.claim.steps import Step
from claims.models import Claim, FindingPart
from inventory.models import Location, User
from tests import making
from tests.house.access_rows import make_deadline
at = timezone.now()
today = at.date() - timedelta(days=1)
here = Location.objects.get(code="RIV")
mina = User.objects.get(username="mina")

def bill(number):
    row = making.make_shipment(
        location=here,
        pro_number=f"PRO-DESK-{number}",
        carrier=making.make_carrier(name=f"Desk Freight {number}"),
        supplier=making.make_supplier(name=f"Desk Works {number}"),
    )
    truck = making.make_signed_delivery(
        location=here, carrier=row.carrier, arrived_at=at - timedelta(days=9)
    )
    making.make_handover(truck, row)
    crate = making.make_crate(
        row, delivery=truck, mark=f"DESK-{number}", opened_at=at, opened_on=today
    )
    unit = making.make_unit(row, crate=crate, serial=f"DESK-{number}", model="Cinderbrook ZT 60")
    look = making.make_inspection(unit=unit, crate=crate, looked_at=at, looked_on=today)
    found = making.make_finding(look, unit=unit, could_be_seen=False)
    FindingPart.objects.create(
        finding=found, description="Deck shell", quantity=1, price_cents=31_000
    )
    return row, truck, found

for number in range(12):
    row, truck, _ = bill(number)
    make_deadline(
        row, delivery=truck, owed_by="claimant",
        due=today - timedelta(days=number), safe=today - timedelta(days=number + 1),
    )

def step(claim, **over):
    claim.refresh_from_db()
    facts = {"reason": "Agreed.", "proof": "Read receipt", **over}
    return Step(person=mina, at=at, today=today, version=claim.version, on=today, **facts)

def sent(number):
    row, _, found = bill(number)
    claim = made.make_claim(
        shipment=row, picks=[made.Pick(found, "repair")], claimant="us",
        basis="invoice", person=mina, at=at - timedelta(days=2), today=today,
    )
    Claim.objects.filter(pk=claim.pk).update(made_at=at - timedelta(days=8))
    steps.send_claim(claim=claim, how="email", step=step(claim))
    steps.record_receipt(claim=claim, step=step(claim))
    return claim

claim = sent("OFFER")
answers.record_offer(
    claim=claim, cents=20_000, by_day=today + timedelta(days=6), step=step(claim)
)
done = sent("DONE")
making.make_claim_payment(done, cents=49_750, on=today, recorded_by=mina)
endings.settle_claim(claim=done, step=step(done))
print(claim.pk, done.pk)
"""


@pytest.fixture(scope="module")
def claims(site):
    """Write the scene once; return the keys of the offered and the settled claim."""
    maker = site.python(SCENE)
    out, told = maker.communicate()
    assert maker.returncode == 0, told
    return [int(key) for key in out.split()[-2:]]


def bottom_of(page, selector):
    """Return where the first match ends, in px from the top of the page."""
    box = page.locator(selector).first.bounding_box()
    return box["y"] + box["height"]


def test_the_first_screen_has_todays_acts_and_the_first_open_claims(desk, claims):
    desk.sign_in("mina")
    desk.open("/claims/")
    page = desk.page

    acts = page.locator(".desk-first .acts-table").first.locator("tbody tr")
    assert acts.count() == 10
    assert bottom_of(page, ".desk-first .acts-table tbody tr:last-child") <= 640
    assert bottom_of(page, ".claims-table tbody tr") <= FIRST_SCREEN["height"]
    names = page.locator(".acts-table .who-tag")
    assert all(names.nth(at).inner_text().strip() for at in range(10))
    assert bottom_of(page, ".ahead") <= FIRST_SCREEN["height"]


def test_one_screen_has_a_claims_state_next_act_amount_and_gaps(desk, claims):
    offered, _ = claims
    desk.sign_in("mina")
    desk.open(f"/claims/{offered}/")
    page = desk.page

    assert page.locator(".next-act h2").inner_text().startswith("Answer the offer of")
    for part in (".stations", ".next-act .acts", ".ladder", ".missing"):
        assert bottom_of(page, part) <= FIRST_SCREEN["height"], part


def test_a_settled_claim_has_no_alarm(desk, claims):
    _, settled = claims
    desk.sign_in("mina")
    desk.open(f"/claims/{settled}/")
    page = desk.page

    assert page.get_by_role("heading", name="Settled. Nothing to do.").is_visible()
    alarms = ".state.late, .state.missing, .state.running, .notice, .cells"
    assert page.locator(f"main :is({alarms})").count() == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_both_pages_can_be_read_and_hit(desk, claims, size, scheme):
    viewport, least = SIZES[size]
    desk.sign_in("mina")
    desk.page.emulate_media(color_scheme=scheme)
    desk.page.set_viewport_size(viewport)
    for path in ("/claims/", *(f"/claims/{key}/" for key in claims)):
        desk.open(path)
        assert complaints_of(desk.page, least_act=least) == [], path
        assert covered_on_focus(desk.page) == [], path

"""Every page of the dock fits the hand, the eye and a small screen.

Contrast by axe: 7:1 for text (WCAG 2.2, 1.4.6), because the dock stands in the sun.
"""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.dock_scene import SCENE
from tests.browser.geometry import complaints_of, covered_on_focus
from tests.browser.visitor import Visitor
from tests.sizes import cases

pytestmark = pytest.mark.browser

SIZES = {
    "320 px": (320, 568),
    "390 px": (390, 844),
    "768 px": (768, 1024),
    "1366 px": (1366, 768),
    # 1366 px at 200 % zoom has half as many CSS px.
    "200 %": (683, 384),
}
PHONE_WIDTH = 600
LEAST_ACT_PHONE = 56
LEAST_ACT_DESK = 24
PAGES = {
    "dock": "/dock/",
    "trucks": "/deliveries/",
    "log a truck": "/deliveries/new/",
    "add a bill": "/deliveries/{truck}/bill/",
    "correct the truck": "/deliveries/{truck}/edit/",
    "truck": "/deliveries/{truck}/tailgate/",
    "signing": "/deliveries/{truck}/sign/",
    "exceptions as signed": "/deliveries/{signed}/words/",
    "mail to the terminal": "/deliveries/{signed}/terminal-mail/",
    "new crate": "/crates/{crate}/look/",
    "crate with an exception": "/crates/{damaged}/look/",
    "refused crate": "/crates/{refused}/look/",
    "more crates": "/shipments/{bill}/crates/new/",
    "freight bill": "/shipments/{bill}/",
    "signed truck": "/deliveries/{signed}/",
    "ended truck": "/deliveries/{ended}/",
    "exceptions of a bill not signed": "/deliveries/{ended}/words/",
    "note": "/deliveries/{signed}/note/",
    "truck ended bill by bill": "/deliveries/{ended}/tailgate/",
    "count": "/handovers/{hand}/count/",
    "withdraw a truck": "/deliveries/{truck}/withdraw/",
    "withdraw a bill": "/handovers/{hand}/withdraw/",
    "withdraw a crate": "/crates/{crate}/withdraw/",
    "compare the POD": "/handovers/{shand}/carrier-image/",
    "expected": "/expected/",
    "expected bill": "/expected/{expected}/",
    "log a truck of an expected bill": "/deliveries/new/?expected={expected}",
    "expect a bill": "/expected/new/",
    "import a ship notice": "/expected/import/",
    "photo": "/evidence/{photo}/",
    "mark a photo": "/evidence/{photo}/mark/",
    "add photos": "/evidence/new/?delivery={truck}",
    "no signal": "/offline/",
    "find a crate": "/crates/find/",
}
MORE = """
from inventory.models import Delivery, Evidence, Handover
ended, _ = truck(3)
bills = list(Handover.objects.filter(delivery=ended).order_by("pk"))
for bill, how in zip(bills, ("signed", "refused", "handheld"), strict=True):
    Handover.objects.filter(pk=bill.pk).update(
        how_signed=how, signed_at=at, signed_by=rosa)
Delivery.objects.filter(pk=ended.pk).update(
    how_signed="by-bill", signed_at=at, signed_by=rosa)
User.objects.filter(username="mina").update(phone="402 555 0131")
expected = making.make_expected(
    location=here.location, carrier=here.carrier, expected_on=making.day_of(at))
hand = Handover.objects.filter(delivery=here).order_by("pk").first()
photo = Evidence.objects.filter(delivery=here, kind="damage").first()
print(json.dumps({
    "ended": ended.pk, "hand": hand.pk, "shand": bills[0].pk, "expected": expected.pk,
    "photo": str(photo.pk)}))
"""
_RULES = {"rules": {"color-contrast-enhanced": {"enabled": True}}}


@pytest.fixture(scope="module")
def scene(site):
    """The two trucks; the keys of their pages."""
    maker = site.python(SCENE + MORE)
    out, told = maker.communicate()
    assert maker.returncode == 0, told
    first, more = (json.loads(line) for line in out.splitlines()[-2:])
    return first | more


@pytest.fixture(scope="module", params=["light", "dark"])
def clerk(request, chromium, address):
    """Rosa, signed in, by day and by night."""
    context = chromium.new_context(color_scheme=request.param, has_touch=True)
    visitor = Visitor(context.new_page(), address)
    visitor.sign_in("rosa")
    visitor.sizes = sizes_in(request.param)
    yield visitor
    context.close()


def sizes_in(scheme):
    """Return the sizes to measure at: all by day.

    Night changes colors and no box, so there a phone and a desk do in the small form.
    """
    few = {name: SIZES[name] for name in ("390 px", "1366 px")}
    return SIZES if scheme == "light" else cases(few, SIZES)


@pytest.mark.parametrize("name", PAGES)
def test_the_page_fits(clerk, scene, name):
    told = []
    for size, (width, height) in clerk.sizes.items():
        clerk.page.set_viewport_size({"width": width, "height": height})
        clerk.page.goto(f"{clerk.address}{PAGES[name].format(**scene)}")
        least = LEAST_ACT_PHONE if width < PHONE_WIDTH else LEAST_ACT_DESK
        told += [f"{size}: {one}" for one in complaints_of(clerk.page, least_act=least)]
        told += [f"{size}: {one!r} is covered" for one in covered_on_focus(clerk.page)]
        told += [f"{size}: {one}" for one in barriers_of(clerk.page)]
    assert clerk.complaints == []
    assert told == [], "\n".join(told)


def barriers_of(page):
    """Return what axe finds on the open page, one line each."""
    found = Axe().run(page, options=_RULES)
    return [
        f"{rule['id']}: {node['html'][:90]}"
        for rule in found.response["violations"]
        for node in rule["nodes"]
    ]

"""Three bills of one truck end in their own ways, on a phone and without a script."""

import json
import re

import pytest

from tests.browser.conftest import PHONE
from tests.browser.visitor import Visitor
from tests.pictures import jpeg

pytestmark = pytest.mark.browser

TRUCK = """
import json, sys
from django.utils import timezone
from inventory.models import User
from tests import making
at = timezone.now()
carrier = making.make_carrier(
    name=f"Gannet Overland {sys.argv[1]}", terminal_email="terminal@gannet.example"
)
supplier = making.make_supplier(name=f"Oxbow {sys.argv[1]}")
truck = making.make_delivery(
    carrier=carrier, arrived_at=at, damaged_on_trailer=True
)
for number in (1, 2, 3):
    bill = making.make_shipment(
        carrier=carrier,
        supplier=supplier,
        pro_number=f"{sys.argv[1]}22170{number}",
        pieces_billed=2,
    )
    making.make_handover(truck, bill, pieces_counted=2)
    making.make_crate(bill, delivery=truck, look="exception" if number == 2 else "clear")
    making.make_crate(bill, delivery=truck, look="clear")
print(json.dumps(truck.pk))
"""

PHOTOS = """
import json, sys
from inventory.models import Evidence
rows = Evidence.objects.filter(delivery=sys.argv[1], kind="receipt")
print(json.dumps(sorted(row.shipment.pro_number for row in rows)))
"""


@pytest.fixture
def truck(site):
    def make(head):
        maker = site.python(TRUCK, head)
        told, failed = maker.communicate()
        assert maker.returncode == 0, failed
        return json.loads(told)

    return make


@pytest.fixture
def bills_of_photos(site):
    """Give the bills that a truck's photos of receipts are of."""

    def ask(key):
        told, failed = site.python(PHOTOS, str(key)).communicate()
        assert not failed
        return json.loads(told)

    return ask


def shoot(page, place, name):
    """Take a photo of the receipt in this place, and wait until it is sent."""
    strip = page.locator("[data-strip]:visible").nth(place)
    photo = {"name": name, "mimeType": "image/jpeg", "buffer": jpeg()}
    strip.locator(".tile-camera input").set_input_files(photo)
    strip.get_by_text("Sent", exact=True).wait_for()


def test_two_are_signed_and_one_is_refused_and_mailed(phone, truck, bills_of_photos):
    page = phone.page
    key = truck("44")
    phone.sign_in("rosa")
    phone.open(f"/deliveries/{key}/sign/")

    # Each length has its own text and says what it leaves out; one is shown at a time.
    with page.expect_navigation():
        page.get_by_role("link", name=re.compile("44221702")).tap()
    phone.look()
    assert page.locator("#text-full").is_visible()
    for length in (160, 80, 60, 40):
        page.locator(f"label[for=length-{length}]").tap()
        shown = page.locator("pre.words:visible")
        assert shown.count() == 1
        assert len(shown.inner_text()) <= length
    assert page.locator(".cut-40").get_by_text("Left out:").is_visible()

    # The driver refuses this one: only now a witness is asked for.
    witness = page.get_by_label("Witness's name")
    assert not witness.is_visible()
    page.get_by_text("Driver refused to sign", exact=True).tap()
    assert page.locator(".below:visible").count() == 1
    assert not page.get_by_label("Driver's name").is_visible()
    witness.fill("Ida Blom")
    shoot(page, 0, "refused.jpg")
    phone.press("Record: not signed")
    assert page.get_by_text("as not signed: driver refused").is_visible()

    # The other two he signs: one answer, each its own text and photo.
    page.get_by_text("With our exceptions").tap()
    assert page.locator("[data-strip]:visible").count() == 1
    page.get_by_text("Same for the other bill", exact=True).tap()
    assert page.locator("[data-strip]:visible").count() == 2
    shoot(page, 0, "one.jpg")
    shoot(page, 1, "three.jpg")
    phone.press("Sign 2 receipts")

    assert bills_of_photos(key) == ["44221701", "44221702", "44221703"]

    # The truck is closed, and the mail to the terminal is ready.
    assert re.search(r"/terminal-mail/$", page.url)
    assert "Witness: Ida Blom" in page.locator("#mail-body").inner_text()
    phone.press("I sent it myself")
    phone.open(f"/deliveries/{key}/words/")
    phone.open("/dock/")
    assert not page.get_by_text("Mail the terminal").is_visible()


def test_everything_is_there_without_a_script(chromium, address, truck):
    context = chromium.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    visitor = Visitor(page, address)
    key = truck("45")
    page.goto(f"{address}/accounts/login/?next=/deliveries/{key}/sign/")
    page.get_by_label("Username").fill("rosa")
    page.get_by_label("Password").fill("kraft-paper-stencil-9")
    page.get_by_role("button", name="Sign in").click()
    page.locator("label[for=length-60]").tap()
    assert page.locator("pre.words:visible").count() == 1
    page.get_by_text("Without our exceptions").tap()
    page.get_by_text("No photo?", exact=True).tap()
    page.locator("[name=no_photo_reason]").select_option(index=1)
    page.get_by_role("button", name="Sign the receipt").click()
    assert page.get_by_text("Recorded 1 receipt: signed without").is_visible()
    assert visitor.complaints == []
    context.close()


def test_no_target_on_the_page_is_small_and_320_px_are_enough(chromium, address, truck):
    context = chromium.new_context(
        **{**PHONE, "viewport": {"width": 320, "height": 640}}
    )
    visitor = Visitor(context.new_page(), address)
    key = truck("46")
    visitor.sign_in("rosa")
    visitor.open(f"/deliveries/{key}/sign/")
    boxes = visitor.page.evaluate(
        """() => [...document.querySelectorAll(
            'main .choice, main .chip, main .bill-tabs a, main button')]
        .filter(one => one.offsetParent)
        .map(one => [one.textContent.trim(), one.getBoundingClientRect().height])"""
    )
    assert len(boxes) > 12
    assert [box for box in boxes if box[1] < 56] == []
    context.close()

"""The clerk takes a truck in with a phone, while the driver waits."""

import re

import pytest

from tests.browser.test_truck_taps import Thumb, sign
from tests.pictures import jpeg

pytestmark = pytest.mark.browser


def photo(name, shade):
    """Return what a phone's camera hands to a form."""
    return {"name": name, "mimeType": "image/jpeg", "buffer": jpeg(colour=shade)}


def test_a_truck_with_one_broken_crate(phone):
    page = phone.page
    phone.sign_in("rosa")
    assert page.url.endswith("/dock/")

    # The truck, of a carrier that is not listed yet, and its bill of three crates.
    phone.open("/deliveries/new/")
    folded = page.locator("summary", has_text="New carrier")
    if folded.count():
        folded.tap()
    page.get_by_label("New carrier").fill("Sandhill Motor Lines")
    page.get_by_label("PRO number").fill("PRO-771204")
    page.locator("[name=pieces_billed]").fill("3")
    phone.press("Log a truck")
    assert re.search(r"/tailgate/$", page.url)
    assert page.get_by_text("3 billed, not counted").is_visible()
    phone.press("All 3 here")
    phone.press("Undo")
    phone.follow("Enter the count")
    page.locator("[name=pieces_counted]").fill("2")
    page.get_by_role("button", name="One more: Crates counted").tap()
    assert page.locator("[name=pieces_counted]").input_value() == "3"
    phone.press("Save")
    with page.expect_navigation():
        page.locator("form[data-sends-itself] input[type=file]").set_input_files(
            [photo("load.jpg", (120, 110, 90))]
        )
    phone.look()

    # The first crate: a hole in its right side, tapped on the drawing.
    phone.follow("Crate 1: Not inspected")
    clear = page.get_by_role("button", name="No visible damage")
    save = page.get_by_role("button", name="Save exception")
    assert clear.is_visible()
    assert not save.is_visible()
    page.locator("label.face.side-4").tap()
    assert page.locator("[name=where][value=side-4]").is_checked()
    assert save.is_visible()
    assert not clear.is_visible()
    page.locator("label.face.side-4").tap()
    assert clear.is_visible()
    page.locator("label.face.side-4").tap()
    page.locator(".chip").get_by_text("Punctured", exact=True).tap()
    page.locator(".chip").get_by_text("Punctured", exact=True).tap()
    assert not page.locator("[name=kind][value=punctured]").is_checked()
    page.locator(".chip").get_by_text("Punctured", exact=True).tap()
    page.locator(".chip").get_by_text("Severe", exact=True).tap()
    page.locator("[name=note]").fill("Fork hole 20 cm")
    assert page.get_by_text("15 of 300").is_visible()
    page.locator("summary", has_text="Refuse this crate").tap()
    assert not save.is_visible()
    page.get_by_role("button", name="Do not refuse").tap()
    assert save.is_visible()
    Thumb(phone).photos("photos", [photo("hole.jpg", (90, 60, 40))])
    phone.press("Save exception")
    assert re.search(r"/tailgate/$", page.url)

    # All others in one act, which says how many.
    phone.press("No visible damage on the other 2")
    assert page.get_by_text("No visible damage on 2 crates.").is_visible()

    # The exceptions, and the signature below them.
    phone.follow("Exceptions to write")
    assert "Fork hole 20 cm" in page.locator("main").inner_text()
    sign(Thumb(phone))
    assert re.search(r"/deliveries/\d+/$", page.url)

    # The list of trucks has it.
    phone.open("/dock/")
    phone.open("/deliveries/")
    assert page.get_by_text("Sandhill Motor Lines").first.is_visible()

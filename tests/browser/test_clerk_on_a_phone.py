"""The clerk takes a truck in with a phone, while the driver waits."""

import re

import pytest

from tests.pictures import jpeg

pytestmark = pytest.mark.browser


def photo(name, shade):
    """Return what a phone's camera hands to a form."""
    return {"name": name, "mimeType": "image/jpeg", "buffer": jpeg(colour=shade)}


def test_a_truck_with_one_broken_crate(phone):
    page = phone.page
    phone.sign_in("rosa")
    assert page.url.endswith("/dock/")

    # The truck, of a carrier that is not listed yet.
    phone.open("/deliveries/new/")
    page.get_by_label("New carrier").fill("Sandhill Motor Lines")
    phone.press("Log a truck")
    assert re.search(r"/deliveries/\d+/bill/$", page.url)

    # Its freight bill: three crates billed, three counted.
    page.get_by_label("PRO number").fill("PRO-771204")
    page.locator("[name=pieces_billed]").fill("2")
    page.get_by_role("button", name="One more: Pieces billed").tap()
    assert page.locator("[name=pieces_billed]").input_value() == "3"
    page.locator("[name=pieces_counted]").fill("3")
    phone.press("Add a freight bill")
    assert re.search(r"/tailgate/$", page.url)

    # The first crate: a hole in its right side, tapped on the drawing.
    phone.follow("Crate 1")
    page.get_by_text("Exception", exact=True).tap()
    page.locator("label.face.side-4").tap()
    assert page.locator("[name=where][value=side-4]").is_checked()
    page.locator("[name=kind]").select_option("punctured")
    page.locator("[name=severity]").select_option("severe")
    page.locator("[name=note]").fill("Fork hole 20 cm")
    page.locator("[name=photos]").set_input_files([photo("hole.jpg", (90, 60, 40))])
    phone.press("Save")
    assert re.search(r"/tailgate/$", page.url)

    # All others in one act, which says how many.
    phone.press("No visible damage on the other 2")
    assert page.get_by_text("No visible damage on 2 crates.").is_visible()

    # The exceptions, and the signature below them.
    phone.follow("Exceptions to write")
    assert "Fork hole 20 cm" in page.locator("pre.words").first.inner_text()
    page.get_by_text("With our exceptions").tap()
    page.get_by_label("Driver's name").fill("Lou Parr")
    page.locator("[name=photo]").set_input_files(
        [photo("receipt.jpg", (240, 240, 230))]
    )
    phone.press("Sign the receipt")
    assert re.search(r"/deliveries/\d+/$", page.url)
    assert page.get_by_text("Signed 1 receipt.").is_visible()

    # The list of trucks has it.
    phone.open("/dock/")
    phone.open("/deliveries/")
    assert page.get_by_text("Sandhill Motor Lines").first.is_visible()

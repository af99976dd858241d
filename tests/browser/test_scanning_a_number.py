"""A number is scanned into its field: in place, by a photo, or chosen among several."""

import re

import pytest
from playwright.sync_api import expect

from inventory.rules.codes.identifiers import parse
from tests.browser.test_finding_a_crate import (
    READS_CODES,
    READS_NO_CODES,
    photo_file,
    scan_beside,
    until,
    with_browser,
)
from tests.label_photos import label_photo
from tests.pictures import jpeg

pytestmark = pytest.mark.browser

SEVERAL = READS_CODES.replace(
    '[{ rawValue: code, format: "qr_code" }]',
    '[{ rawValue: code }, { rawValue: "410-220871" }, { rawValue: code }]',
)


def add_a_machine(visitor):
    """Open the form that asks for a machine's serial."""
    visitor.sign_in("rosa", "/search/?q=PRO-330815")
    visitor.follow("PRO PRO-330815")
    bill = re.search(r"/(\d+)/", visitor.page.url)[1]
    visitor.open(f"/shipments/{bill}/units/new/")
    return visitor.page


def serial(page):
    return page.locator("[name=serial]").input_value()


def test_the_camera_fills_the_field_and_sends_nothing(phone):
    with_browser(phone, READS_CODES, "cb52a-01874")
    page = add_a_machine(phone)
    before = page.url
    scan_beside(page, "Serial number").tap()
    page.get_by_label("What the camera sees").wait_for()
    phone.look()
    page.get_by_label("What the camera sees").wait_for(state="detached")

    assert serial(page) == "cb52a-01874"
    assert page.url == before
    assert page.locator("#house-says").inner_text() == "Read: cb52a-01874"
    assert page.evaluate("document.activeElement.name") == "serial"


def test_a_person_chooses_among_several_codes(phone):
    with_browser(phone, SEVERAL, "CB-1")
    page = add_a_machine(phone)
    scan_beside(page, "Serial number").tap()
    page.get_by_text("2 codes were read. Choose one.").wait_for()
    phone.look()
    page.get_by_role("button", name="410-220871").tap()
    assert serial(page) == "410-220871"
    assert not page.locator(".scan-panel").count()


def test_none_of_them_leaves_the_field_as_it_was(phone):
    with_browser(phone, SEVERAL, "CB-1")
    page = add_a_machine(phone)
    page.locator("[name=serial]").fill("typed")
    scan_beside(page, "Serial number").tap()
    page.get_by_role("button", name="None of these").tap()
    assert serial(page) == "typed"


def test_a_photo_without_a_code_says_so_and_can_be_taken_again(phone):
    with_browser(phone, READS_NO_CODES)
    page = add_a_machine(phone)
    with page.expect_file_chooser() as chooser:
        scan_beside(page, "Serial number").tap()
    chooser.value.set_files([photo_file(jpeg())])
    page.get_by_text(
        "No code could be read on this photo. It was not saved."
    ).wait_for()
    phone.complaints.clear()  # the 422 itself
    phone.look()

    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Take a photo").tap()
    chooser.value.set_files([photo_file(label_photo(parse("HT-001")))])
    until(page, "document.querySelector('[name=serial]').value === 'HT-001'")


def without_signal(phone, code):
    """Take a photo of this number while there is no signal."""
    with_browser(phone, READS_NO_CODES)
    page = add_a_machine(phone)
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.context.set_offline(offline=True)
    with page.expect_file_chooser() as chooser:
        scan_beside(page, "Serial number").tap()
    chooser.value.set_files([photo_file(label_photo(parse(code)))])
    page.get_by_text(
        "No signal. The photo is saved on this phone, to be compared later. Type the "
        "number."
    ).wait_for()
    assert page.evaluate("document.activeElement.name") == "serial"
    phone.complaints.clear()  # what failed without signal is no news
    expect(page.locator("#phone-line")).to_contain_text("1 photo waiting")
    phone.look()
    return page


def type_it(page, number):
    page.locator("[name=serial]").fill(number)
    page.locator("[name=serial]").blur()
    page.wait_for_timeout(
        500
    )  # it is written to the phone's store: nobody leaves sooner


def test_a_photo_taken_without_signal_is_dropped_where_the_same_was_typed(phone):
    page = without_signal(phone, "HT-001")
    type_it(page, "ht 001")
    page.context.set_offline(offline=False)

    expect(page.locator("#phone-line")).to_have_count(0)
    assert serial(page) == "ht 001"


def test_a_photo_taken_without_signal_says_where_it_differs(phone):
    page = without_signal(phone, "HT-001")
    type_it(page, "HT-007")
    page.reload()  # the page without signal
    phone.complaints.clear()
    page.context.set_offline(offline=False)
    page.goto(phone.address + "/dock/")

    line = page.locator("#phone-line")
    expect(line).to_contain_text("1 number to compare")
    expect(line).to_contain_text(
        "The photo says HT-001. You typed HT-007. Compare them, and correct what is "
        "wrong."
    )
    phone.complaints.clear()  # a try without signal may have been told of this late
    phone.look()
    line.get_by_role("button", name="Seen, remove it").tap()
    expect(line).to_have_count(0)


def test_a_photo_taken_without_signal_fills_a_field_that_is_still_empty(phone):
    page = without_signal(phone, "HT-001")
    page.context.set_offline(offline=False)

    expect(page.locator("[name=serial]")).to_have_value("HT-001")
    expect(page.locator("#phone-line")).to_have_count(0)


def test_a_search_without_signal_says_to_type(phone):
    with_browser(phone, READS_NO_CODES)
    phone.sign_in("rosa", then="/crates/find/")
    page = phone.page
    page.context.set_offline(offline=True)
    with page.expect_file_chooser() as chooser:
        scan_beside(page, "Crate mark or code").tap()
    chooser.value.set_files([photo_file(label_photo(parse("HT-001")))])
    page.get_by_text("The photo could not be read and was not saved.").wait_for()
    phone.complaints.clear()
    assert not page.locator("#phone-line").count()
    page.context.set_offline(offline=False)


def test_without_a_script_there_is_no_button(chromium, address):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/accounts/login/")
    assert not page.get_by_role("button", name="Scan").count()
    context.close()

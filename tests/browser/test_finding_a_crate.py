"""A crate is found by its label: camera, photo or typing, whatever the browser can."""

import pytest

from inventory.rules.codes.identifiers import parse
from tests.label_photos import label_photo

pytestmark = pytest.mark.browser

# The crate of the conftest's bill bears this mark.
MARK = "HT-330815"

# A browser that reads codes, with a camera that shows a grey picture. The first look
# sees nothing, the second a frame that is not ready, the third the label.
READS_CODES = """
(code) => {
  window.looks = 0;
  window.BarcodeDetector = class {
    static async getSupportedFormats() { return ["qr_code", "code_128", "ean_13"]; }
    constructor(options) { window.wanted = options.formats; }
    async detect(source) {
      window.looks += 1;
      if (!(source instanceof HTMLVideoElement)) throw new Error("not the camera");
      if (window.looks === 1) return [];
      if (window.looks === 2) throw new Error("not ready");
      return [{ rawValue: code, format: "qr_code" }];
    }
  };
  navigator.mediaDevices.getUserMedia = async () => {
    const canvas = document.createElement("canvas");
    canvas.getContext("2d");
    window.stream = canvas.captureStream(5);
    return window.stream;
  };
}
"""
NO_CAMERA = """
() => {
  window.BarcodeDetector = class {
    static async getSupportedFormats() { return ["qr_code"]; }
  };
  navigator.mediaDevices.getUserMedia = async () => { throw new Error("refused"); };
}
"""
READS_NO_CODES = "() => { delete window.BarcodeDetector; }"


def with_browser(visitor, script, *values):
    told = f"({script})({', '.join(repr(value) for value in values)})"
    visitor.page.add_init_script(told)


def until(page, condition):
    """Wait for a condition; the policy forbids the usual way, which evaluates text."""
    for _ in range(100):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(50)
    raise AssertionError(condition)


def scan_beside(page, label):
    """Return the button beside the field with this label."""
    return page.get_by_role("button", name=f"Scan {label}", exact=True)


def photo_file(photo):
    return {"name": "label.jpg", "mimeType": "image/jpeg", "buffer": photo}


def leads_to_the_crate(page):
    page.wait_for_url(lambda url: "/crates/find/" not in url)
    assert MARK in page.locator("main").inner_text()


def test_the_camera_reads_the_label_where_the_browser_can(phone):
    page = phone.page
    with_browser(phone, READS_CODES, MARK)
    phone.sign_in("rosa")
    phone.follow("Find a crate")

    scan_beside(page, "Crate mark or code").tap()

    leads_to_the_crate(page)
    phone.look()


def test_the_camera_asks_for_our_codes_only_and_stops_when_told(desk):
    page = desk.page
    with_browser(desk, READS_CODES.replace("=== 1", "< 1000"), MARK)
    desk.sign_in("rosa")
    desk.open("/crates/find/")
    scan_beside(page, "Crate mark or code").click()
    page.get_by_label("What the camera sees").wait_for()
    assert page.evaluate("window.wanted") == ["qr_code", "code_128"]
    until(page, "window.looks > 1")
    desk.look()

    page.get_by_role("button", name="Stop the camera").click()

    assert page.evaluate(
        "window.stream.getTracks().every(t => t.readyState == 'ended')"
    )
    assert not page.get_by_label("What the camera sees").count()
    assert page.evaluate("document.activeElement.id") == "id_code"
    looks = page.evaluate("window.looks")
    page.wait_for_timeout(600)
    assert page.evaluate("window.looks") == looks


def test_a_camera_that_is_refused_leaves_typing(phone):
    page = phone.page
    with_browser(phone, NO_CAMERA)
    phone.sign_in("rosa", "/crates/find/")
    scan_beside(page, "Crate mark or code").tap()

    page.get_by_text("The camera cannot be used. Take a photo").wait_for()
    phone.look()
    page.get_by_role("button", name="Type it").tap()
    assert page.evaluate("document.activeElement.id") == "id_code"
    page.get_by_label("Crate mark or code").fill(MARK.lower())
    page.get_by_label("Crate mark or code").press("Enter")
    leads_to_the_crate(page)


def test_without_a_reader_in_the_browser_a_photo_is_read_on_the_server(phone):
    page = phone.page
    with_browser(phone, READS_NO_CODES)
    phone.sign_in("rosa", "/crates/find/")

    with page.expect_file_chooser() as chooser:
        scan_beside(page, "Crate mark or code").tap()
    chooser.value.set_files([photo_file(label_photo(parse(MARK)))])
    leads_to_the_crate(page)


def test_the_photo_form_reads_a_label_too(phone):
    page = phone.page
    phone.sign_in("rosa", "/crates/find/")
    page.get_by_label("Photo of the label").set_input_files(
        [photo_file(label_photo(parse(MARK)))]
    )
    page.get_by_role("button", name="Read the photo").tap()
    leads_to_the_crate(page)


def test_the_codes_of_a_crate_are_typed_and_its_label_offered(desk):
    page = desk.page
    desk.sign_in("rosa", "/search/?q=PRO-330815")
    desk.follow("PRO PRO-330815")
    bill = page.url
    desk.follow("Codes")
    page.get_by_label("GRAI").fill("(8003)00614141123453400")
    desk.press("Save the mark and codes")
    assert page.get_by_text("should be 2, not 3").first.is_visible()

    page.get_by_label("GRAI").fill("https://id.gs1.org/8003/00614141123452400")
    desk.press("Save the mark and codes")

    desk.open(f"{bill.removeprefix(desk.address)}labels/")
    assert page.get_by_text("(8003)00614141123452400").is_visible()
    assert page.get_by_role("button", name="Make the labels").is_visible()

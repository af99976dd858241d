"""Six crates, two exceptions, eight photos: every tap of the page is counted.

The phone's own camera taps are not the page's; numbers that stand on the documents are
typed from them. Limits: 27 taps and 6 characters beyond those numbers. Common
practice, no source: counted on a drawing of the same work.
"""

import re

import pytest

from tests.pictures import jpeg

pytestmark = pytest.mark.browser

MOST_TAPS = 27
MOST_TYPED = 6
CARRIER = "Killdeer Freight Lines"
_CARRIER = """
from django.utils import timezone
from tests import making
making.make_delivery(
    carrier=making.make_carrier(name="Killdeer Freight Lines"), arrived_at=timezone.now()
)
"""


class Thumb:
    """One thumb on the page: it taps, it types, and it says so."""

    def __init__(self, visitor):
        self.visitor = visitor
        self.page = visitor.page
        self.taps = 0
        self.typed = 0

    def _count(self, what):
        self.taps += 1
        print(f"tap {self.taps:2}: {what}")

    def tap(self, what, target, *, opens=False):
        """Tap this; where it opens a page, look at it."""
        if opens:
            with self.page.expect_navigation():
                target.tap()
            self.visitor.look()
        else:
            target.tap()
        self._count(what)

    def document_number(self, name, text):
        """Type a number that stands on the document, without a tap of its own."""
        self.page.keyboard.type(text)
        assert self.page.locator(f"[name={name}]").input_value() == text

    def next_field(self):
        """Press the Next of the phone's keyboard: it goes from field to field."""
        self.page.keyboard.press("Tab")
        while not self.page.evaluate("document.activeElement.matches('input')"):
            self.page.keyboard.press("Tab")

    def type(self, text):
        """Type what stands on no document."""
        self.page.keyboard.type(text)
        self.typed += len(text)

    def photos(self, field, shots):
        """Tap the camera once for each photo."""
        camera = self.page.locator(f"[data-strip={field}] .tile-camera input")
        if camera.count():
            for number, shot in enumerate(shots, 1):
                camera.set_input_files(shot)
                sent = self.page.locator(f"[data-strip={field}] [data-state=sent]")
                sent.nth(number - 1).wait_for()
        else:
            self.page.locator(f"input[type=file][name={field}]").set_input_files(shots)
        for shot in shots:
            self._count(f"photo {shot['name']}")


def shot(name, shade):
    """Return what a phone's camera hands to a form."""
    buffer = jpeg(colour=(shade, 90, 60))
    return {"name": f"{name}.jpg", "mimeType": "image/jpeg", "buffer": buffer}


def chip(page, words):
    return page.locator(".chip").get_by_text(words, exact=True)


def exception(thumb, number, *, faces, kind, severity, shots):
    """Write one crate's exception: its tile, photos, sides, damage, severity, Save."""
    page = thumb.page
    tile = page.get_by_role("link", name=re.compile(rf"^Crate {number}: "))
    thumb.tap(f"crate {number}", tile, opens=True)
    thumb.photos("photos", shots)
    for face in faces:
        thumb.tap(f"side: {face}", page.locator(f"label.face.{face}"))
    thumb.tap(f"damage: {kind}", chip(page, kind))
    thumb.tap(f"severity: {severity}", chip(page, severity))
    save = page.get_by_role("button", name="Save exception")
    thumb.tap("Save exception", save, opens=True)


def test_six_crates_two_exceptions_eight_photos(phone, site):
    maker = site.python(_CARRIER)
    told = maker.communicate()[1]
    assert maker.returncode == 0, told
    page = phone.page
    phone.sign_in("rosa")
    thumb = Thumb(phone)

    log = page.get_by_role("link", name="Log a truck")
    thumb.tap("Log a truck", log, opens=True)
    thumb.tap("the carrier", chip(page, CARRIER))
    page.wait_for_function("document.activeElement.name === 'pro_number'")
    thumb.document_number("pro_number", "410-221701")
    thumb.next_field()
    thumb.document_number("pieces_billed", "6")
    save = page.get_by_role("button", name="Log a truck")
    thumb.tap("Log a truck", save, opens=True)
    assert re.search(r"/tailgate/$", page.url)

    thumb.tap("All 6 here", page.get_by_role("button", name="All 6 here"), opens=True)
    with page.expect_navigation():
        page.locator("form[data-sends-itself] input[type=file]").set_input_files(
            shot("load", 120)
        )
    thumb._count("photo load.jpg")
    phone.look()

    exception(
        thumb,
        4,
        faces=("side-1", "top"),
        kind="Crushed",
        severity="Moderate",
        shots=[shot(f"crate-4-{one}", 20 * one) for one in (1, 2, 3)],
    )
    exception(
        thumb,
        2,
        faces=("side-4",),
        kind="Punctured",
        severity="Severe",
        shots=[shot(f"crate-2-{one}", 15 * one + 100) for one in (1, 2, 3)],
    )
    rest = page.get_by_role("button", name="No visible damage on the other 4")
    thumb.tap("No visible damage on the other 4", rest, opens=True)
    before_the_receipt = thumb.taps
    assert before_the_receipt <= 23

    words = page.get_by_role("link", name="Exceptions to write")
    thumb.tap("Exceptions to write", words, opens=True)
    sign(thumb)
    assert re.search(r"/deliveries/\d+/$", page.url), page.url
    print(f"{thumb.taps} taps, {thumb.typed} characters typed")
    assert thumb.taps <= MOST_TAPS
    assert thumb.typed <= MOST_TYPED


def sign(thumb):
    """Sign the receipt: how it ended, its photo, the driver's name."""
    page = thumb.page
    ending = page.locator(
        "label", has_text=re.compile("With our exceptions", re.IGNORECASE)
    )
    thumb.tap("with our exceptions", ending.first)
    thumb.photos("photo", [shot("receipt", 240)])
    button = page.get_by_role("button", name=re.compile("^Sign"))
    thumb.tap("Sign", button, opens=True)

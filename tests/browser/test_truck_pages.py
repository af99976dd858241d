"""The pages of a truck with 24 crates on 3 bills, measured on a phone and at a desk."""

import json

import pytest

pytestmark = pytest.mark.browser

SCREEN = 844
MOST_SCREENS = 3
TILES_BY = 200
LEAST_TARGET = 56
SIZES = [(320, 568), (390, 844), (768, 1024), (1366, 768)]
_TRUCKS = """
import json
import uuid
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from inventory.actions.evidence.keeping import keep_evidence
from tests import making
from tests.house.access_rows import make_deadline
from tests.pictures import jpeg

def photo(person, kind, delivery, crate=None):
    shade = (uuid.uuid4().int % 255, 90, 60)
    keep_evidence(
        person=person, at=timezone.now(), client_id=uuid.uuid4(), kind=kind,
        upload=SimpleUploadedFile("a.jpg", jpeg(colour=shade), "image/jpeg"),
        delivery=delivery, shipment=crate.shipment if crate else None, crate=crate,
    )

carrier = making.make_carrier(name="Gannet Overland")

def truck(**over):
    person = making.some_person()
    now = timezone.now()
    delivery = making.make_delivery(
        carrier=carrier, arrived_at=now, **over
    )
    photo(person, "load", delivery)
    maker = making.make_supplier(name=f"Oxbow Works {uuid.uuid4().hex[:4]}")
    first = None
    for number, size in enumerate((6, 10, 8)):
        bill = making.make_shipment(
            carrier=carrier, pieces_billed=size, bol_number="", supplier=maker,
            pro_number=f"410-{uuid.uuid4().int % 10**6:06}",
        )
        making.make_handover(
            delivery, bill, words_full="PRO 410: " + "Crate 2 punctured. " * 8
        )
        for one in range(size):
            noted = {(0, 1): "exception", (0, 3): "exception", (1, 2): "refused"}
            look = noted.get((number, one), "clear" if over or one < 4 else "")
            crate = making.make_crate(
                bill, delivery=delivery, look=look,
                refused_for="worthless" if look == "refused" else "",
            )
            first = first or crate
            if look in ("exception", "refused"):
                seen = making.make_inspection(crate=crate, stage="tailgate")
                making.make_finding(
                    seen, faces="side-1,top", damage_kind="punctured", part=""
                )
                photo(person, "damage", delivery, crate)
                photo(person, "damage", delivery, crate)
        if over:
            make_deadline(
                bill, delivery=delivery, owed_by="claimant",
                starts_on=making.day_of(now), due=making.day_of(now), safe=making.day_of(now),
            )
    return delivery.pk, first.pk

signed = dict(
    how_signed="signed", driver_signed_name="Lou Parr", words_stand_on="both",
    signed_at=timezone.now(), signed_by=making.some_person(),
)
print(json.dumps({"open": truck(), "signed": truck(**signed)}))
"""
# Every control that a thumb must hit, with its height; hidden ones and links inside a
# sentence are none.
_SMALL = """
() => [...document.querySelectorAll(
  "main button, main summary, main .btn, main .chip, main .crate-tile, main .rows > li,"
  + " .bar-back, .switch > summary"
)].filter((el) => el.checkVisibility({ visibilityProperty: true })
  && !el.classList.contains("visually-hidden"))
  .map((el) => [el.textContent.trim().slice(0, 30), el.getBoundingClientRect().height])
  .filter(([, height]) => height < 55.5)
"""
# What covers the middle of the focused control, where it is not the control itself.
_COVERED = """
() => {
  const el = document.activeElement;
  const box = el.getBoundingClientRect();
  const bar = document.querySelector(".act-bar");
  if (!bar || bar.contains(el) || el === document.body || box.height === 0) return "";
  if (box.height > innerHeight / 2) return "";
  const top = bar.getBoundingClientRect().top;
  return box.bottom > top + 1 && box.top < bar.getBoundingClientRect().bottom
    ? `${el.outerHTML.slice(0, 80)} ${box.bottom} ${top}` : "";
}
"""


@pytest.fixture(scope="module")
def trucks(site):
    maker = site.python(_TRUCKS)
    out, told = maker.communicate()
    assert maker.returncode == 0, told
    return json.loads(out.splitlines()[-1])


def pages(trucks):
    truck, crate = trucks["open"]
    return [
        "/dock/",
        "/deliveries/new/",
        f"/deliveries/{truck}/tailgate/",
        f"/deliveries/{truck}/bill/",
        f"/deliveries/{truck}/edit/",
        f"/crates/{crate}/look/",
        f"/deliveries/{trucks['signed'][0]}/",
    ]


def test_the_signed_truck_is_at_most_three_screens(phone, trucks):
    phone.sign_in("rosa")
    phone.open(f"/deliveries/{trucks['signed'][0]}/")

    height = phone.page.evaluate("document.documentElement.scrollHeight")

    assert phone.page.get_by_text("21 without visible damage").is_visible()
    assert phone.page.get_by_text("2 exceptions, 1 refused").is_visible()
    assert height <= MOST_SCREENS * SCREEN


def test_the_first_tile_is_within_the_thumbs_first_look(phone, trucks):
    phone.sign_in("rosa")
    phone.open(f"/deliveries/{trucks['open'][0]}/tailgate/")
    tiles = phone.page.locator(".crate-tile")
    boxes = [tiles.nth(number).bounding_box() for number in range(6)]

    assert boxes[0]["y"] <= TILES_BY
    assert len({box["y"] for box in boxes[:4]}) == 1
    assert boxes[4]["y"] > boxes[3]["y"]
    assert round(boxes[0]["height"]) == 94

    phone.page.set_viewport_size({"width": 320, "height": 568})
    boxes = [tiles.nth(number).bounding_box() for number in range(4)]
    assert len({box["y"] for box in boxes[:3]}) == 1
    assert boxes[3]["y"] > boxes[2]["y"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_fits_every_screen(phone, trucks, scheme):
    phone.sign_in("rosa")
    phone.page.emulate_media(color_scheme=scheme)
    for width, height in SIZES:
        phone.page.set_viewport_size({"width": width, "height": height})
        for path in pages(trucks):
            assert phone.open(path) == 200
            if width <= 390:
                assert phone.page.evaluate(_SMALL) == [], (width, path)


def test_the_act_never_covers_what_has_the_focus(phone, trucks):
    phone.sign_in("rosa")
    for path in pages(trucks):
        phone.open(path)
        for _ in range(40):
            phone.page.keyboard.press("Tab")
            assert phone.page.evaluate(_COVERED) == "", path

"""A truck at the dock for a browser test, and what the site then holds of it."""

import json

from tests.pictures import jpeg

_TRUCK = """
import sys
from inventory.models import Carrier, Location, Supplier
from tests import making
here = Location.objects.get(code="RIV")
carrier = Carrier.objects.first()
bill = making.make_shipment(
    location=here,
    carrier=carrier,
    supplier=Supplier.objects.first(),
    pro_number=sys.argv[1],
    pieces_billed=2,
)
truck = making.make_delivery(location=here, carrier=carrier)
making.make_handover(truck, bill, pieces_counted=2)
crates = [making.make_crate(bill, delivery=truck, number=n) for n in (1, 2)]
print(truck.pk, *(one.pk for one in crates))
"""

_PHOTOS = """
import json, sys
from inventory.models import Evidence
rows = Evidence.everything.filter(crate=sys.argv[1]) if sys.argv[1] else Evidence.everything.all()
print(json.dumps([
    [str(row.pk), row.original_id, row.recorded_by.username, row.findings.count(), row.delivery_id]
    for row in rows
]))
"""


def run(site, source, *words):
    """Run a program in the site and return what it printed."""
    process = site.python(source, *(str(word) for word in words))
    told, complaint = process.communicate()
    assert process.returncode == 0, complaint
    return told.strip().splitlines()[-1]


def truck_at_dock(site, pro):
    """Make an unsigned truck with two crates; return its key and theirs."""
    return [int(word) for word in run(site, _TRUCK, pro).split()]


def photos_of(site, crate=""):
    """Return (key, hash, who, findings, truck) of each photo of a crate."""
    return json.loads(run(site, _PHOTOS, crate))


def photo(name, shade, **save):
    """Return what a phone's camera hands to a form."""
    data = jpeg(colour=shade, **save)
    return {"name": name, "mimeType": "image/jpeg", "buffer": data}


def chip(page, words):
    """Return the chip that says this."""
    return page.locator(".chip").get_by_text(words, exact=True)


def fill_exception(page, note="", severity="Severe"):
    """Tap one side and the damage, and its severity unless that is left out."""
    page.locator("label.face.side-4").tap()
    chip(page, "Punctured").tap()
    if severity:
        chip(page, severity).tap()
    if note:
        page.locator("[name=note]").fill(note)


def save_exception(page):
    """Press the button that saves the exception."""
    page.get_by_role("button", name="Save exception").tap()

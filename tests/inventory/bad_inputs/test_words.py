"""What people type and how files are named: printed literally, bounded, harmless."""

import io
import time

import pytest
from django.urls import reverse
from django.utils.html import escape
from pypdf import PdfReader
from reportlab.platypus import SimpleDocTemplate

from inventory.documents.core import styles
from inventory.documents.core.fonts import BOX
from inventory.documents.core.text import P
from inventory.evidence.store import homes
from inventory.models import Carrier, Evidence, ReceiptNote
from tests import making
from tests.inventory.bad_inputs.bodies import TYPE, form_of, part
from tests.pictures import jpeg

pytestmark = [pytest.mark.database, pytest.mark.one_in(3)]

ZALGO = "Z" + "\u0335\u0301" * 500
NAMES = [
    # number, name sent, name kept as text
    ("F45", "../../etc/passwd", "passwd"),
    ("F45 backslash", "..\\x.jpg", "x.jpg"),
    ("F45 NUL", "a\0b.jpg", "ab.jpg"),
    ("F46 long", "x" * 500 + ".jpg", "x" * 100),
    ("F46 turned", "a\u202egpj.exe", "agpj.exe"),
    ("F46 other scripts", "箱 \U0001f4e6.jpg", "箱 \U0001f4e6.jpg"),
    ("F46 CR LF", "a%0d%0aSet-Cookie: b=c.jpg", "a%0d%0aSet-Cookie: b=c.jpg"),
    ("F46 HTML", "<b>x.jpg", "<b>x.jpg"),
]


@pytest.mark.parametrize(
    ("number", "name", "kept_as"), NAMES, ids=[n[0] for n in NAMES]
)
def test_a_name_is_only_ever_text(house, number, name, kept_as):
    answer = house.send(jpeg(), name=name)

    assert answer.status_code == 302, number
    kept = Evidence.objects.exclude(pk=house.first.pk).get()
    assert kept.file_name == kept_as
    assert set(homes.home().names()) == {house.first.original_id, kept.original_id}
    given = house.get("original", kept.pk)["Content-Disposition"]
    assert given == f'attachment; filename="{kept.original_id[:16]}.jpg"'


def test_f45_a_file_whose_name_is_only_dots_is_asked_for_again(house):
    body = form_of(part("kind", b"load"), part("photos", jpeg(), ".."))

    answer = house.client.generic("POST", house.url, body, content_type=TYPE)

    assert answer.status_code == 400
    assert "No photo arrived" in answer.content.decode()
    assert Evidence.everything.count() == 1


WORDS = [
    # number, what is typed, what is kept
    ("F47", "<b", "<b"),
    ("F47 if", "if a<b then c", "if a<b then c"),
    ("F48", "label says <torn>", "label says <torn>"),
    ("F48 comment", "before <!-- x --> after", "before <!-- x --> after"),
    ("F48 CDATA", "<![CDATA[ torn ]]> <?x y?>", "<![CDATA[ torn ]]> <?x y?>"),
    ("F49", "<font color=\"[[getattr(pow,'__self__')]]\">red</font>", None),
    ("F49 call", "<para><font color='[ [ c for c in (1).__class__ ] ]'>x", None),
    ("F50", '<img src="/etc/hostname"/>', None),
    ("F50 network", '<img src="http://127.0.0.1:1/x.png"/>', None),
    ("F51", '<a href="javascript:alert(1)">here</a>', None),
    ("F51 draw", '<onDraw name="x" label="y"/> <seq id="z"/>', None),
    ("F52", "a\0b\x01c\u202ed", "abcd"),
    ("F52 zalgo", ZALGO, None),
    ("F59", "<script>alert(1)</script>", None),
]


@pytest.mark.parametrize("row", WORDS, ids=[row[0] for row in WORDS])
def test_words_are_kept_shown_and_printed_as_they_were_typed(house, row, monkeypatch):
    number, typed, kept = row
    kept = typed if kept is None else kept

    answer = house.post("note_receipt", house.delivery.pk, text=typed)

    assert answer.status_code == 302, number
    assert ReceiptNote.objects.get().text == kept
    page = house.get("delivery", house.delivery.pk).content.decode()
    assert escape(kept) in page
    monkeypatch.setattr("urllib.request.urlopen", None)
    assert "".join(printed(kept).split()) == "".join(drawable(kept).split())


def drawable(text):
    """Return the text as our face prints it; what it lacks is a box with a note."""
    shown = "".join(flowable.getPlainText() for flowable in P(text, styles.BODY))
    assert BOX in shown or shown.split() == text.split()
    return shown


def printed(text):
    """Return the words of a PDF made of this text; it may hold nothing else."""
    out = io.BytesIO()
    SimpleDocTemplate(out, invariant=1).build(P(text, styles.BODY))
    pages = PdfReader(io.BytesIO(out.getvalue())).pages
    assert not any(page.images or page.get("/Annots") for page in pages)
    return "".join(page.extract_text() for page in pages)


def test_f52_half_a_character_is_dropped_and_not_a_fault():
    assert printed("a\ud800b") == printed("ab")


@pytest.mark.parametrize("text", ["箱が壊れた", "صندوق", "crate \U0001f4e6"])
def test_f53_what_the_face_lacks_is_a_box_and_is_named(text):
    shown = "".join(flowable.getPlainText() for flowable in P(text, styles.BODY))

    assert BOX in shown
    assert "cannot be printed" in shown or "not print" in shown or "U+" in shown


TOO_MUCH = [
    ("F54", "x" * 1_000_000, "2,000"),
    ("F54 lines", "\n".join("x" for _ in range(20_000)), ""),
]


@pytest.mark.parametrize(("number", "text", "words"), TOO_MUCH)
def test_f54_too_many_words_are_refused_with_the_bound(house, number, text, words):
    answer = house.post("note_receipt", house.delivery.pk, text=text)

    assert answer.status_code == 422, number
    assert words in answer.content.decode()
    assert ReceiptNote.objects.count() == 0


def test_f54_a_word_of_five_thousand_letters_is_laid_out_in_time():
    start = time.perf_counter()
    printed("x" * 5_000)
    assert time.perf_counter() - start < 5


SCRIPT = "<script>alert(1)</script>"


@pytest.mark.slow
def test_f59_html_in_every_name_is_escaped_on_every_page(house):
    carrier = making.make_carrier(name=SCRIPT, claims_address=SCRIPT)
    supplier = making.make_supplier(name=SCRIPT)
    delivery = making.make_delivery(
        location=house.who.riverside, carrier=carrier, driver_name=SCRIPT
    )
    shipment = making.make_shipment(
        location=house.who.riverside, carrier=carrier, supplier=supplier, origin=SCRIPT
    )
    making.make_handover(delivery, shipment)
    crate = making.make_crate(shipment, delivery=delivery, look="clear")
    unit = making.make_unit(shipment, crate=crate, serial=SCRIPT)
    look = making.make_inspection(crate=crate, unit=unit, looked_by=house.who.tomas)
    finding = making.make_finding(look, part=SCRIPT, facts=SCRIPT, opinion=SCRIPT)
    photo = making.attach_photo(finding, caption=SCRIPT, file_name=SCRIPT)
    claim = making.make_claim(shipment, made_by=house.who.mina)
    making.make_claim_line(claim, finding=finding, unit=unit, label=SCRIPT)
    house.client.force_login(house.who.mina)

    pages = [
        ("dock",),
        ("deliveries",),
        ("claims",),
        ("carriers",),
        ("suppliers",),
        ("delivery", delivery.pk),
        ("shipment", shipment.pk),
        ("unit", unit.pk),
        ("finding", finding.pk),
        ("claim", claim.pk),
        ("evidence", photo.pk),
        ("edit_carrier", carrier.pk),
        ("edit_shipment", shipment.pk),
        ("edit_finding", finding.pk),
    ]
    met = 0
    for page in pages:
        text = house.get(*page).content.decode()
        assert "<script>alert" not in text, page
        met += escape(SCRIPT) in text
    assert met > 8


F60 = ["' OR 1=1 --", "%", "_", "(a+)+$", "\\", "'; DROP TABLE inventory_crate; --"]


@pytest.mark.parametrize("text", F60)
def test_f60_a_search_is_text(house, text):
    shipment = making.make_shipment(location=house.who.riverside)
    crate = making.make_crate(shipment, mark="ABC-1")
    making.make_unit(shipment, crate=crate)
    start = time.perf_counter()
    answer = house.get("search", q=text)

    assert answer.status_code == 200
    assert reverse("shipment", args=[shipment.pk]) not in answer.content.decode()
    assert "/units/" not in answer.content.decode()
    assert time.perf_counter() - start < 5


F61 = [
    "a@b.example\r\nBcc: c@d.example",
    "a@b.example, c@d.example, e@f.example",
    "a@b.example;c@d.example",
    "a@b.example\0",
]


@pytest.mark.parametrize("address", F61)
def test_f61_one_address_and_no_more(house, address):
    house.client.force_login(house.who.mina)
    before = Carrier.objects.count()

    answer = house.post(
        "add_carrier", name="New Carrier", mode="motor", claims_email=address
    )

    assert answer.status_code == 422
    assert "Enter one address" in answer.content.decode() or "\0" in address
    assert Carrier.objects.count() == before

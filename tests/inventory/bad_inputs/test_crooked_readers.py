"""Whatever a reader of strangers' files is given, it answers; no page answers 500.

Some eighty crooked files in every run, a few hundred in the whole form; ``make test-hostile`` tries many more, and
HOSTILE names another number. The seed of a failure stands in its message.
"""

import json
import os
import random
import sys
import time
import zipfile
from collections import Counter
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.evidence.pictures import workbook_child, workbook_reader
from inventory.evidence.pictures.workbook_reader import read_workbook
from inventory.rules.evidence.remarks import PhotoFacts, remarks_on
from inventory.rules.reckoning.places import Position
from tests.inventory.bad_inputs import crooked, files
from tests.inventory.evidence.pictures.mutating import mutant
from tests.making import make_supplier
from tests.pictures import heic, jpeg, png, webp
from tests.sizes import cases

COUNT = int(os.environ.get("HOSTILE") or cases(80, 250))
THROUGH_THE_PAGES = max(cases(3, 8), COUNT // 50)
FIRST = 20_260_311
LIMITS = workbook_child.Limits(rows=50, columns=50, cell=500)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")  # openpyxl and zipfile warn of what is odd
def test_the_workbook_reader_answers_every_crooked_workbook():
    endings = Counter()
    for seed in range(FIRST, FIRST + COUNT):
        start = time.perf_counter()
        try:
            answer = workbook_child.answer(crooked.crooked(seed), LIMITS)
            json.dumps(answer).encode()
        except Exception as error:
            raise AssertionError(f"seed {seed}: {error!r}") from error
        assert time.perf_counter() - start < 10, f"seed {seed}"
        assert answer.keys() in ({"rows"}, {"error"}), f"seed {seed}"
        endings[str(answer.get("error", "read"))] += 1
    sys.stdout.write(f"\n{COUNT} workbooks: {dict(endings)}\n")
    # Else the generator makes nothing but rubbish, or nothing but good ones.
    assert endings["read"] > COUNT // 20
    assert endings["BadZipFile"] > COUNT // 20
    assert len(endings) >= 4, endings


HOSTILE = {
    # name: how it is made, what the reader says
    "version 6.4": (lambda: crooked.with_header("version", 64), "NotImplementedError"),
    "locked": (lambda: crooked.with_header("flags", 1), "Locked"),
    "strongly locked": (lambda: crooked.with_header("flags", 0x41), "Locked"),
    "patched": (lambda: crooked.with_header("flags", 0x20), "NotImplementedError"),
    "bzip2": (
        lambda: crooked.with_part(crooked.SHEET, bytes, zipfile.ZIP_BZIP2),
        "BadZipFile",
    ),
    "lzma": (
        lambda: crooked.with_part(crooked.SHEET, bytes, zipfile.ZIP_LZMA),
        "BadZipFile",
    ),
    "unknown method": (lambda: crooked.with_header("method", 93), "BadZipFile"),
    "wrong sum": (lambda: crooked.with_header("crc", 7, None, 3), "BadZipFile"),
    "no sum": (lambda: crooked.with_header("crc", 0), "BadZipFile"),
    "says less": (crooked.says_less, "BadZipFile"),
    "many parts": (crooked.many_parts, "TooLarge"),
    "says more": (lambda: crooked.with_header("size", 2**31), "TooLarge"),
    "nested": (crooked.nested, "ParseError"),
    "laughs": (
        lambda: crooked.with_doctype(b'<!ENTITY a "ha"><!ENTITY b "&a;&a;">', b"&b;"),
        "ValueError",
    ),
    "outside": (
        lambda: crooked.with_doctype(
            b'<!ENTITY a SYSTEM "file:///etc/passwd">', b"&a;"
        ),
        "ValueError",
    ),
    "half a part": (
        lambda: crooked.with_part(crooked.SHEET, lambda data: data[:-40]),
        "ParseError",
    ),
    "no sheet": (
        lambda: crooked.with_part("xl/workbook.xml", lambda data: data[:0]),
        "ParseError",
    ),
}


@pytest.mark.filterwarnings("ignore")
@pytest.mark.one_in(3)
@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_workbook_is_named_by_what_is_wrong(name):
    made, expected = HOSTILE[name]
    assert workbook_child.answer(made(), LIMITS) == {"error": expected}


def test_a_document_type_alone_is_no_trouble():
    data = crooked.with_doctype(b"", b"Mark")
    assert workbook_child.answer(data, LIMITS)["rows"][0][0] == "Mark"


@pytest.mark.one_in(3)
@pytest.mark.parametrize(
    "made",
    [
        lambda: crooked.row_of(12_000_000),
        lambda: crooked.deep(2_000_000),
        lambda: crooked.deep(3_000_000, crooked.STYLES),
    ],
    ids=["cells", "deep", "deep styles"],
)
def test_a_bomb_of_xml_ends_with_its_child_in_time(made, monkeypatch):
    monkeypatch.setattr(workbook_reader, "SECONDS", 5)
    start = time.perf_counter()
    found = read_workbook(made(), rows=50, columns=50)
    assert time.perf_counter() - start < 15
    assert found.trouble or not found.rows


@pytest.mark.slow
def test_the_largest_honest_sheet_is_read_within_the_limits():
    cells = b"".join(b"<c><v>%d</v></c>" % number for number in range(50))
    rows = b"<row>%s</row>" % cells * 5_000
    data = crooked.with_part(
        crooked.SHEET,
        lambda part: part.replace(b"</sheetData>", rows + b"</sheetData>"),
    )
    found = read_workbook(data, rows=5_002, columns=50)
    assert (len(found.rows), found.trouble) == (5_002, "")
    assert found.rows[-1][-1] == "49"


def test_the_reader_and_its_child_use_the_same_codes():
    assert workbook_reader.LOCKED == workbook_child.LOCKED
    assert workbook_reader.TOO_LARGE == workbook_child.TOO_LARGE


def test_a_workbook_that_waits_too_long_for_its_turn_is_answered_busy(monkeypatch):
    monkeypatch.setattr(workbook_reader, "PATIENCE", 0.1)
    with workbook_reader._at_once:
        assert read_workbook(crooked.good(), rows=9, columns=9).trouble == "Busy"
    assert read_workbook(crooked.good(), rows=9, columns=9).rows[0][0] == "Mark"


TAKEN = (
    "", "x", "\0", "0001:01:01 00:00:00", "9999:12:31 23:59:59", "2026:02:30 00:00:00",
    "2026:01:01 24:00:00", "2026:01:01 23:59:60", "2026:03:08 02:30:00", "٢٠٢٦:01:01",
)  # fmt: skip
OFFSETS = (
    "", "x", "Z", "UTC", "+23:59", "-23:59", "+24:00", "+99:99", "-14", "+05:30:15",
    "+00:00:00.123456",
)  # fmt: skip
DEGREES = ("", "x", "nan", "inf", "1e999", "-91", "90.0", "180", "-180", "1_0", "٣")


@pytest.mark.slow
def test_no_camera_claim_stops_a_photo():
    dice = random.Random(FIRST)
    at = datetime(2026, 5, 4, tzinfo=UTC)
    for _ in range(COUNT):
        claims = {
            "taken": dice.choice(TAKEN),
            "offset": dice.choice(OFFSETS),
            "latitude": dice.choice(DEGREES),
            "longitude": dice.choice(DEGREES),
        }
        zone = dice.choice(("UTC", "America/Chicago", "Pacific/Apia"))
        facts = PhotoFacts(
            at, claims=claims, zone=ZoneInfo(zone), first_truck=at, last_truck=at,
            dock=Position(41, -93),
        )  # fmt: skip
        assert isinstance(remarks_on(facts), list), claims


# -- through the pages -----------------------------------------------------------


@pytest.fixture
def memo_page(house):
    supplier = make_supplier()
    house.client.force_login(house.who.abel)
    head = {
        "supplier": supplier.pk,
        "number": "CM-1",
        "dated_on": "2026-03-01",
        "received_on": "2026-03-02",
    }

    def send(data, name="memo.xlsx"):
        sheet = SimpleUploadedFile(name, data)
        return house.client.post(reverse("import_memo"), {**head, "sheet": sheet})

    return send


@pytest.mark.database
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("version 6.4", "The workbook cannot be read. Nothing was saved."),
        ("locked", "The workbook is locked with a password. Nothing was saved."),
        ("bzip2", "The workbook cannot be read. Nothing was saved."),
        ("says more", "far larger inside than it looks. Nothing was saved."),
        ("laughs", "The workbook cannot be read. Nothing was saved."),
    ],
)
def test_the_page_says_it_plainly(memo_page, name, words):
    answer = memo_page(HOSTILE[name][0]())
    assert answer.status_code == 422
    assert words in answer.content.decode()


CSV = b'mark,type,count,amount,remark\nHT-1,,1,"1,250.00",late\n,Rack,3,90,\n'


@pytest.mark.slow
@pytest.mark.database
def test_no_memo_page_answers_500(memo_page):
    for seed in range(FIRST, FIRST + THROUGH_THE_PAGES):
        answer = memo_page(crooked.crooked(seed))
        assert answer.status_code in {200, 422}, f"workbook, seed {seed}"
        answer = memo_page(mutant(CSV, seed), "memo.csv")
        assert answer.status_code in {200, 422}, f"CSV, seed {seed}"
        wide = mutant(CSV.decode().encode("utf-16"), seed)
        assert memo_page(wide, "memo.csv").status_code in {200, 422}, f"UTF-16 {seed}"


PICTURES = (jpeg(), png(), webp(2), heic(), files.with_exif(taken="2026:03:09"))
PDF = b"%PDF-1.7\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF"


@pytest.mark.slow
@pytest.mark.database
def test_no_photo_or_label_page_answers_500(house):
    for seed in range(FIRST, FIRST + THROUGH_THE_PAGES):
        data = mutant((*PICTURES, PDF)[seed % 6], seed)
        answer = house.send(data)
        assert answer.status_code in {302, 415, 422}, f"photo, seed {seed}"
        photo = SimpleUploadedFile("label.jpg", data)
        answer = house.post("find_crate", photo=photo)
        assert answer.status_code in {302, 422}, f"label, seed {seed}"

"""A printed label, seen as a picture of 150 dots an inch, gives back the same key."""

import shutil
import subprocess
from datetime import date
from io import BytesIO

import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from inventory.documents.labels.codes import LEAST_QR, qr_box, qr_side
from inventory.documents.labels.labels import label_sheet_pdf, single_labels_pdf
from inventory.documents.labels.sheets import SHEETS, SINGLES
from inventory.rules.codes.gs1 import check_digit
from inventory.rules.codes.identifiers import parse
from inventory.rules.codes.label_content import (
    CrateLabel,
    codes_of,
    label_key,
)

DAY = date(2026, 11, 20)
DPI = 150
ADDRESS = "Brennwick Works, Returns\n4400 Foundry Loop\nHarlow Junction, OH 43999"


def label(identifier, name="RK-0042", **more):
    code, bars, readable = codes_of(identifier)
    return CrateLabel(
        name=name,
        code=code,
        bars=bars,
        readable=readable,
        kicker="Reusable crate",
        supplier=more.get("supplier", "Brennwick Works"),
        crate_type="Steel rack 72",
        bill="PRO 4471-220, crate 2 of 6",
        return_to=ADDRESS,
    )


def grai(serial):
    head = f"0061414112{serial % 1000:03d}"
    return parse(f"(8003){head}{check_digit(head[1:])}{serial}")


KEYS = {
    "grai": parse("(8003)00614141123452400"),
    "grai with a slash": parse("(8003)00614141123452ABCD1234/"),
    "grai at its longest": parse("(8003)00614141123452%aB/c-d&e'f(g)*hi"[:34]),
    "sscc": parse("(00)106141411234567897"),
    "giai": parse("(8004)0614141KX/9"),
    "own": parse("RK-0042"),
}


def pages(pdf, folder, dpi=DPI):
    pdftoppm = shutil.which("pdftoppm")
    assert pdftoppm, "pdftoppm is needed to look at a page; it comes with poppler-utils"
    (folder / "labels.pdf").write_bytes(pdf)
    subprocess.run(
        [pdftoppm, "-r", str(dpi), "-png", folder / "labels.pdf", folder / "page"],
        check=True,
    )
    return [Image.open(path) for path in sorted(folder.glob("page*.png"))]


def read_codes(image, format_name):
    formats = getattr(zxingcpp.BarcodeFormat, format_name)
    return zxingcpp.read_barcodes(
        image, formats=formats, text_mode=zxingcpp.TextMode.Plain
    )


def scanned(found):
    """Return the text as a scanner sends it: with the symbology prefix."""
    return found.symbology_identifier + found.text


@pytest.mark.one_in(4)
@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("name", KEYS)
def test_the_qr_on_a_sheet_gives_back_the_key(name, paper, tmp_path):
    key = KEYS[name]
    assert key.valid
    (image,) = pages(
        label_sheet_pdf([label(key)], paper=paper, title="x", made_on=DAY), tmp_path
    )

    (found,) = read_codes(image, "QRCode")

    assert parse(found.text) == key


@pytest.mark.one_in(4)
@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("name", [name for name in KEYS if name != "own"])
def test_the_bars_on_a_sheet_give_back_the_key(name, paper, tmp_path):
    key = KEYS[name]
    pdf = label_sheet_pdf([label(key)], paper=paper, title="x", made_on=DAY)
    # A serial of 16 letters makes bars of 0.28 mm on this label, less than two dots
    # at 150 an inch: this one is looked at as a printer prints it.
    (image,) = pages(pdf, tmp_path, dpi=300 if "longest" in name else DPI)

    (found,) = read_codes(image, "Code128")

    assert found.symbology_identifier == "]C1"
    assert parse(scanned(found)) == key


@pytest.mark.one_in(4)
@pytest.mark.parametrize("paper", SINGLES)
@pytest.mark.parametrize("name", KEYS)
def test_a_label_alone_gives_back_the_key_from_every_code(name, paper, tmp_path):
    key = KEYS[name]
    (image,) = pages(
        single_labels_pdf([label(key)], paper=paper, title="x", made_on=DAY), tmp_path
    )

    found = [*read_codes(image, "QRCode"), *read_codes(image, "Code128")]

    assert len(found) == (1 if name == "own" else 2)
    assert {parse(scanned(each)) for each in found} == {key}


@pytest.mark.slow
@pytest.mark.parametrize("paper", SHEETS)
def test_a_full_sheet_and_one_more_give_every_key_once(paper, tmp_path):
    keys = [grai(serial) for serial in range(4000, 4001 + SHEETS[paper].count)]
    sheets = pages(
        label_sheet_pdf(
            [label(key) for key in keys], paper=paper, title="x", made_on=DAY
        ),
        tmp_path,
    )

    assert len(sheets) == 2
    found = [each.text for image in sheets for each in read_codes(image, "QRCode")]
    assert sorted(parse(text).serial for text in found) == [k.serial for k in keys]


@pytest.mark.parametrize("paper", SHEETS)
def test_labels_start_where_the_sheet_is_not_yet_used(paper, tmp_path):
    sheet = SHEETS[paper]
    key = KEYS["grai"]
    pdf = label_sheet_pdf(
        [label(key)], paper=paper, start=sheet.count, title="x", made_on=DAY
    )
    (image,) = pages(pdf, tmp_path)

    (found,) = read_codes(image, "QRCode")

    # The last label is the right one of the lowest row.
    corner = found.position.top_left
    assert corner.x > image.width / 2
    assert corner.y > image.height * (sheet.rows - 1) / sheet.rows - DPI / 2


@pytest.mark.one_in(6)
@pytest.mark.parametrize("name", KEYS)
def test_the_symbol_is_at_least_30_mm_wherever_it_is_printed(name, tmp_path):
    key = KEYS[name]
    for number, pdf in enumerate(
        [
            *(
                label_sheet_pdf([label(key)], paper=p, title="x", made_on=DAY)
                for p in SHEETS
            ),
            *(
                single_labels_pdf([label(key)], paper=p, title="x", made_on=DAY)
                for p in SINGLES
            ),
        ]
    ):
        folder = tmp_path / str(number)
        folder.mkdir()
        (image,) = pages(pdf, folder)
        (found,) = read_codes(image, "QRCode")
        spot = found.position
        side_mm = (spot.top_right.x - spot.top_left.x) / DPI * 25.4
        assert side_mm >= 29.5  # half a millimetre for the finder's own rounding


def test_the_least_box_holds_30_mm_and_the_quiet_zone():
    code = KEYS["grai"].digital_link
    assert qr_side(code, qr_box(code)) == pytest.approx(LEAST_QR)
    assert pytest.approx(30 / 25.4 * 72) == LEAST_QR


def test_people_can_read_what_the_codes_say():
    pdf = label_sheet_pdf(
        [label(KEYS["grai"])], paper="letter", title="Crate labels", made_on=DAY
    )
    words = PdfReader(BytesIO(pdf)).pages[0].extract_text()

    for part in (
        "RK-0042",
        "Brennwick Works",
        "Steel rack 72",
        "PRO 4471-220, crate 2 of 6",
        "Return to",
        "4400 Foundry Loop",
        "(8003)00614141123452400",
    ):
        assert part in words


def test_the_same_labels_give_the_same_bytes():
    first, second = (
        label_sheet_pdf([label(KEYS["grai"])], paper="a4", title="x", made_on=DAY)
        for _ in range(2)
    )
    assert first == second


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    "name", ["", "W" * 60, "<b>RK</b> & <img src=x>", "箱\x00\ud800"]
)
def test_any_name_stays_on_its_label(name, tmp_path):
    pdf = label_sheet_pdf(
        [label(KEYS["grai"], name=name, supplier="W" * 100)],
        paper="a4",
        title=name,
        made_on=DAY,
    )
    (image,) = pages(pdf, tmp_path)
    sheet = SHEETS["a4"]
    right = int((sheet.left + sheet.width) / 72 * DPI)
    below = int((sheet.top + sheet.height) / 72 * DPI)

    # Nothing dark outside the first label.
    assert (
        image.crop((right + 2, 0, image.width, image.height))
        .convert("L")
        .getextrema()[0]
        > 150
    )
    assert (
        image.crop((0, below + 2, image.width, image.height))
        .convert("L")
        .getextrema()[0]
        > 150
    )


@pytest.mark.parametrize("draw", [label_sheet_pdf, single_labels_pdf])
def test_the_file_says_the_day_on_which_it_was_made(draw):
    pdf = draw([label(KEYS["grai"])], paper="letter", title="x", made_on=DAY)
    assert PdfReader(BytesIO(pdf)).metadata.creation_date.date() == DAY


def test_no_label_and_a_place_off_the_sheet_are_refused():
    with pytest.raises(ValueError, match="must be labels"):
        label_sheet_pdf([], paper="a4", title="x", made_on=DAY)
    with pytest.raises(ValueError, match="must be labels"):
        single_labels_pdf([], paper="a4", title="x", made_on=DAY)
    for start in (0, 7):
        with pytest.raises(ValueError, match="start must be on the sheet"):
            label_sheet_pdf(
                [label(KEYS["own"])],
                paper="letter",
                start=start,
                title="x",
                made_on=DAY,
            )


def test_the_sheets_fit_their_paper():
    sizes = {"letter": (612, 792), "a4": (595.3, 841.9)}
    for paper, sheet in SHEETS.items():
        wide = 2 * sheet.left + 2 * sheet.width + sheet.gap
        assert wide == pytest.approx(sizes[paper][0], abs=1)
        high = 2 * sheet.top + sheet.rows * sheet.height
        assert high == pytest.approx(sizes[paper][1], abs=1)


def test_the_key_for_life_comes_before_the_key_of_the_trip():
    assert label_key("00614141123452400", "106141411234567897", ["RK"]).kind == "grai"
    assert label_key("", "106141411234567897", ["RK"]).kind == "sscc"
    assert label_key("", "106141411234567897", ["(8004)0614141K9"]).kind == "giai"
    assert label_key("", "", ["", "rk 42"]).key == "RK-42"
    assert label_key("bad", "bad", ["---"]) is None

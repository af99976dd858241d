"""A list comes from a file at a desk and on a phone: seen, taken in, and undone."""

import os
from pathlib import Path

import pytest

pytestmark = pytest.mark.browser

SHOTS = os.environ.get("SHOTS", "")
ROWS = """Name,SCAC,Mode,Address for claims,Email for claims
{mark} Haulage,HRNH,Motor carrier,"Box 12, Omaha, NE 68101",claims@heron.example
{mark} Freight,GNTF,,,claims@gannet.example
{mark} Lines,TOO-LONG,,,
"=HYPERLINK(""http://x.example"")",,,,
"""


def shoot(visitor, name):
    if SHOTS:
        wide = visitor.page.viewport_size["width"]
        path = Path(SHOTS) / f"{name}-{wide}.png"
        visitor.page.screenshot(path=str(path), full_page=True)


def bring(visitor, mark):
    visitor.sign_in("ada", then="/people/")
    shoot(visitor, "people")
    visitor.follow("Bring lists from a file")
    shoot(visitor, "lists")
    visitor.open("/lists/carriers/")
    shoot(visitor, "import")
    file = {"name": "carriers.csv", "mimeType": "text/csv"}
    file["buffer"] = ROWS.format(mark=mark).encode()
    visitor.page.get_by_label("List (CSV or XLSX)").set_input_files(file)
    visitor.press("Preview the list")
    shoot(visitor, "preview")
    assert visitor.page.get_by_text("Left out", exact=True).count() >= 2
    visitor.press("Import the new rows")
    shoot(visitor, "import-page")
    visitor.follow("Undo the import")
    shoot(visitor, "undo")
    visitor.page.get_by_label("Reason").fill("The wrong list")
    visitor.press("Undo the import")
    shoot(visitor, "undone")
    assert visitor.page.get_by_text("Retired by import undo").count() >= 2
    visitor.open("/lists/")
    shoot(visitor, "lists-after")


def test_at_a_desk(desk):
    bring(desk, "Heron")


def test_on_a_phone(phone):
    bring(phone, "Gannet")

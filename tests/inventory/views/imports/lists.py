"""Files of lists, good and bad, for the tests of imports."""

import csv
import re
from html import unescape
from io import BytesIO, StringIO

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from openpyxl import Workbook

from tests.people import cast


def raw(data, name="list.csv"):
    return SimpleUploadedFile(name, data, "text/csv")


def csv_of(*lines, encoding="utf-8"):
    return raw("\n".join(lines).encode(encoding))


def csv_rows(*rows):
    """Return a CSV file of these rows of cells."""
    out = StringIO()
    csv.writer(out).writerows(rows)
    return raw(out.getvalue().encode())


def book_of(*sheets):
    """Return a workbook of these sheets, each a list of rows."""
    book = Workbook()
    for place, rows in enumerate(sheets):
        sheet = book.active if not place else book.create_sheet()
        for row in rows:
            sheet.append(row)
    out = BytesIO()
    book.save(out)
    return raw(out.getvalue(), "list.xlsx")


class ListCase(TestCase):
    """Someone who brings in lists; ``kind`` is the list."""

    kind = "carriers"
    sender = "ada"
    more: dict[str, object] = {}

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client.force_login(getattr(self.who, self.sender))

    def page(self, kind=None):
        return reverse(f"import_{kind or self.kind}".replace("-", "_"))

    def load(self, file, kind=None):
        return self.client.post(self.page(kind), {"sheet": file, **self.more})

    def take(self, preview, kind=None, **over):
        page = preview.content.decode()
        fields = {
            name: unescape(re.search(rf'name="{name}"[^>]*?value="([^"]*)"', page)[1])
            for name in ("signed", "once")
        }
        return self.client.post(self.page(kind), fields | over)

    def fates(self, preview):
        return [(one.row, one.name, one.state) for one in preview.context["fates"]]

    def reasons(self, preview):
        return {one.row: one.reason for one in preview.context["fates"]}

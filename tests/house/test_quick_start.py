"""A command that draws nothing and reads no sheet loads no library for it."""

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import fields, is_dataclass

import pytest

from claims.registration import FLOOR
from inventory.rules.core.registry import Later
from tests.house.running import ROOT

SLOW = {
    "PIL",
    "boto3",
    "botocore",
    "cryptography",
    "fido2",
    "font_source_sans_pro",
    "holidays",
    "iso4217",
    "numpy",
    "openpyxl",
    "pi_heif",
    "pypdf",
    "reportlab",
    "segno",
    "stdnum",
    "xlsxwriter",
    "zxingcpp",
}
LOAD_EVERYTHING = """
import django, json, sys
django.setup()
import config.urls, config.checks
from django.core.management import get_commands, load_command_class
for name, app in get_commands().items():
    if app in ("inventory", "claims"):
        load_command_class(app, name)
print(json.dumps(sorted({name.partition(".")[0] for name in sys.modules})))
"""


START = """
import django, json, sys
django.setup()
print(json.dumps(sorted(sys.modules)))
"""
PAGES = ("actions", "documents", "forms", "queries", "views")
SMALL = {"clock", "former_settlements", "uses", "versions"}
"""Files of these rooms that the start does need: they load nothing more."""


def loaded_by(code, folder):
    # An interpreter of its own: the starter of the other tests has the libraries loaded.
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={
            "PATH": os.environ["PATH"],
            "DOCK_DATA_DIR": str(folder),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout))


@pytest.mark.slow
def test_every_page_and_command_is_known_before_a_slow_library_is_loaded(tmp_path):
    loaded = loaded_by(LOAD_EVERYTHING, tmp_path)

    assert loaded & SLOW == set()
    assert {"inventory", "claims", "django"} <= loaded


def test_the_start_alone_loads_tables_and_no_pages(tmp_path):
    parts = [name.split(".") for name in loaded_by(START, tmp_path)]
    ours = [each for each in parts if each[0] in ("inventory", "claims")]

    files = {each[3] for each in ours if len(each) > 3 and each[1] in PAGES}
    assert files <= SMALL
    assert {each[1] for each in ours if len(each) > 2} >= {"models", "rules"}


def later_ones(thing):
    """Yield each ``Later`` in this table of tables."""
    if isinstance(thing, Later):
        yield thing
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from later_ones(getattr(thing, field.name))
    elif isinstance(thing, Mapping):
        for one in thing.values():
            yield from later_ones(one)
    elif isinstance(thing, tuple):
        for one in thing:
            yield from later_ones(one)


def test_what_is_loaded_later_is_there():
    found = list(later_ones(FLOOR))

    assert len(found) >= 9
    assert all(callable(one.find()) for one in found)

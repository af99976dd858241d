"""A command that draws nothing and reads no sheet loads no library for it."""

import json
import os
import subprocess
import sys

from tests.house.running import ROOT

SLOW = {
    "PIL",
    "boto3",
    "botocore",
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


def test_every_page_and_command_is_known_before_a_slow_library_is_loaded(tmp_path):
    # An interpreter of its own: the starter of the other tests has the libraries loaded.
    done = subprocess.run(
        [sys.executable, "-c", LOAD_EVERYTHING],
        cwd=ROOT,
        env={
            "PATH": os.environ["PATH"],
            "DOCK_DATA_DIR": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    loaded = set(json.loads(done.stdout))
    assert loaded & SLOW == set()
    assert {"inventory", "claims", "django"} <= loaded

"""Print each package that the program needs, with its version and its licence.

Usage: python config/deploy/licenses.py requirements.txt
"""

import re
import sys
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path

PINNED = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^]]*\])?==([^ ;\\]+)", re.MULTILINE)


def license_of(name: str) -> str:
    """Return what a package says of its licence; raise PackageNotFoundError."""
    told = metadata(name)
    classes = [
        one.rpartition(" :: ")[2]
        for one in told.get_all("Classifier") or []
        if one.startswith("License :: ")
    ]
    short = (told["License"] or "").strip().partition("\n")[0]
    return told["License-Expression"] or ", ".join(classes) or short or "not stated"


def main(path: str) -> None:
    """Print a line for each pinned package of this file that is installed."""
    for name, version in PINNED.findall(Path(path).read_text(encoding="utf-8")):
        try:
            said = license_of(name)
        except PackageNotFoundError:
            continue  # for another system than this
        sys.stdout.write(f"{name:28} {version:16} {said}\n")


if __name__ == "__main__":
    main(sys.argv[1])

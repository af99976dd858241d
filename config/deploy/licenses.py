"""Print each package that the program needs, with its version and its licence.

Usage: python config/deploy/licenses.py requirements.txt [--sbom]

With --sbom as a list of CycloneDX 1.6, in JSON.
"""

import json
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


def main(path: str, *, as_sbom: bool) -> None:
    """Print each pinned package of this file that is installed."""
    found = []
    for name, version in PINNED.findall(Path(path).read_text(encoding="utf-8")):
        try:
            found.append((name, version, license_of(name)))
        except PackageNotFoundError:
            continue  # for another system than this
    if not as_sbom:
        for name, version, said in found:
            sys.stdout.write(f"{name:28} {version:16} {said}\n")
        return
    components = [
        {
            "type": "library",
            "name": name,
            "version": version,
            "purl": f"pkg:pypi/{name}@{version}",
            "licenses": [{"license": {"name": said}}],
        }
        for name, version, said in found
    ]
    whole = {"bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1}
    sys.stdout.write(json.dumps(whole | {"components": components}, indent=1) + "\n")


if __name__ == "__main__":
    main(sys.argv[1], as_sbom="--sbom" in sys.argv)

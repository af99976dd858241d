#!/usr/bin/env python3
"""Check the originals of a claim file. Needs Python 3.8 or later, nothing else.

    python3 check_packet.py manifest.json FOLDER [EVENTS ROOT]

manifest.json is attached to the claim file; the claim file's PDF works too. FOLDER
holds the originals under the names of the list. EVENTS and ROOT are the
number and the value on the printed page "List of evidence", in any grouping, at least
32 characters; without them they are asked for. What it proves: each original has the SHA-256 of
its sealed record, and that record is in the tree (RFC 6962, 2.1) with the printed root.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

say = sys.stdout.write


def sha256(data: bytes) -> bytes:
    """Hash the bytes."""
    return hashlib.sha256(data).digest()


def read_manifest(path: str) -> dict[str, Any]:
    """Find the list in the file and say its hash."""
    _, begins, rest = Path(path).read_bytes().partition(b'{"as_of":')
    if not begins:
        sys.exit(f"There is no list of originals in {path}. Save manifest.json first.")
    text = (begins + rest).decode("utf-8", "replace")
    found, end = json.JSONDecoder().raw_decode(text)
    say(f"SHA-256 of the list: {sha256(text[:end].encode()).hex()}\n")
    return dict(found)


def root_of(leaf: bytes, place: int, size: int, path: list[bytes]) -> str:
    """Climb from a leaf to the root, level by level; "" where the path cannot be."""
    digest, path = sha256(b"\x00" + leaf), path[::-1]
    while size > 1:
        if place ^ 1 < size:  # the last of an odd level is carried up as it is
            if not path:
                return ""
            pair = (path.pop(), digest) if place % 2 else (digest, path.pop())
            digest = sha256(b"\x01" + b"".join(pair))
        place, size = place // 2, (size + 1) // 2
    return "" if place or path else digest.hex()


def faults_of(one: dict[str, Any], folder: Path, size: int, root: str) -> list[str]:
    """Return what is wrong with one original of the list, in plain words."""
    sealed, faults = one["sealed"] or {"body": "{}", "sequence": 0, "path": []}, []
    path = [bytes.fromhex(step) for step in sealed["path"]]
    leaf = sha256(sealed["body"].encode())
    if not root_of(leaf, sealed["sequence"] - 1, size, path).startswith(root):
        return ["its sealed record is not in the tree with the printed root"]
    record = json.loads(sealed["body"])
    about = [key for noun, key in record["subjects"] if noun == "evidence"]
    if record["kind"] != "evidence.kept" or about != [one["evidence"]]:
        faults.append("its sealed record is about something else")
    kept, file = record["data"], folder / Path(one["file"]).name
    if (kept["sha256"], kept["size"]) != (one["sha256"], one["size"]):
        faults.append("the list names another SHA-256 or size than its sealed record")
    if not file.is_file():
        faults.append(f"the file {file.name} is not in the folder")
    elif sha256(file.read_bytes()).hex() != kept["sha256"]:
        faults.append(f"THE FILE {file.name} IS NOT THE ORIGINAL, its bytes are others")
    return faults


def not_typed(root: str, size: int, tree: dict[str, Any]) -> str:
    """Return what is wrong with what was typed; "" where it is that of the list."""
    alike = sum(root[at : at + 1] == one for at, one in enumerate(tree["root"]))
    if len(root) < 32:
        return "the value is too short. Type at least 32 characters of it."
    if alike < len(root) // 2:
        return "this is the list of another claim file, or the value was mistyped."
    if alike < len(root):
        return f"the value was mistyped: {len(root) - alike} of its characters differ."
    if tree["size"] != size:
        return "the number of events is not that of the list, or was mistyped."
    return ""


def main(words: list[str]) -> None:
    """Read what was typed, check every original, and say what was found."""
    if len(words) < 2:
        sys.exit(__doc__)
    manifest, folder = read_manifest(words[0]), Path(words[1])
    typed = words[2] if len(words) > 2 else input("Events recorded, as printed: ")
    root = " ".join(words[3:]) or input("Value of the list, as printed: ")
    size = int("".join(digit for digit in typed if digit.isdigit()) or 0)
    tree, originals = manifest["tree"], manifest["originals"]
    root = "".join(root.lower().split())
    if said := not_typed(root, size, tree):
        sys.exit(f"NOT WELL: {said}")
    faults = [(o, said) for o in originals for said in faults_of(o, folder, size, root)]
    for one, said in faults:
        say(f"Original {one['number']}: {said}.\n")
    if faults or not originals:
        many = "fault" if len(faults) == 1 else "faults"
        sys.exit(f"NOT WELL: {len(faults)} {many} in {len(originals)} originals.")
    say(f"ALL WELL: {manifest['title']}, {len(originals)} originals as recorded.\n")


if __name__ == "__main__":
    try:
        main(sys.argv[1:])
    except (KeyError, TypeError, ValueError, AttributeError, OSError) as error:
        sys.exit(f"NOT WELL: the list cannot be read as it should be ({error!r}).")

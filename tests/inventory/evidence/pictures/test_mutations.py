"""Thousands of broken pictures: the decoding child outlives them all, in its limits.

``make test-mutations`` tries a hundred thousand; MUTATIONS names another number.
"""

import io
import json
import os
import random
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest
from PIL import Image

from inventory.evidence.pictures import renditions
from inventory.evidence.store import originals as store
from tests.inventory.evidence.pictures import mutating
from tests.pictures import heic, mpo, png, turned_jpeg, webp
from tests.sizes import cases

pytestmark = pytest.mark.decoder

COUNT = int(os.environ.get("MUTATIONS") or cases(200, 2000))
BATCH = 250
FIRST = 20_260_310
THROUGH_THE_DOOR = cases(4, 12)


def saved(form, **how):
    out = io.BytesIO()
    noise = random.Random(7).randbytes(160 * 120)
    Image.frombytes("L", (160, 120), noise).save(out, form, **how)
    return out.getvalue()


ORIGINALS = {
    "turned.jpg": turned_jpeg(),
    "two.mpo": mpo(),
    "clear.png": png(),
    "moving.webp": webp(4),
    "photo.heic": heic(),
    "noise.jpg": saved("JPEG"),
    "progressive.jpg": saved("JPEG", progressive=True),
    "noise.png": saved("PNG"),
    "noise.webp": saved("WEBP"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("originals")
    for name, data in ORIGINALS.items():
        (place / name).write_bytes(data)
    return place


def run_batch(first, count, folder):
    """Decode one batch in a child; a child that dies fails the test with its seeds."""
    done = subprocess.run(
        [sys.executable, mutating.__file__, str(first), str(count), str(folder)],
        capture_output=True,
        text=True,
        timeout=mutating.SLOW * 15,
        check=False,
    )
    assert done.returncode == 0, f"seeds {first} to {first + count}: {done.stderr}"
    return json.loads(done.stdout)


@pytest.mark.slow
def test_no_mutant_kills_the_child_or_outruns_its_time(folder):
    batches = [
        (first, min(BATCH, FIRST + COUNT - first))
        for first in range(FIRST, FIRST + COUNT, BATCH)
    ]
    with ThreadPoolExecutor(2) as pool:
        reports = list(pool.map(lambda one: run_batch(*one, folder), batches))

    endings = sum((Counter(one["endings"]) for one in reports), Counter())
    slowest = max(reports, key=lambda one: one["slowest"])
    assert endings.total() == COUNT
    assert slowest["slowest"] < mutating.SLOW, f"seed {slowest['seed']}"
    assert endings["shown"] > COUNT // 20, endings  # else nothing was decoded at all
    assert endings.total() - endings["shown"] > COUNT // 20, endings
    told = f"{COUNT} mutants, slowest {slowest['slowest']:.2f} s: {dict(endings)}"
    sys.stdout.write(f"\n{told}\n")


@pytest.mark.slow
def test_the_web_side_never_raises_whatever_the_child_meets(folder, tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"
    sources = [path.read_bytes() for path in sorted(folder.iterdir())]
    for seed in range(FIRST, FIRST + THROUGH_THE_DOOR):
        data = mutating.mutant(sources[seed % len(sources)], seed)
        stored = store.store_original([data], limit=50_000_000)

        reading = renditions.read_picture(stored.sha256)

        assert isinstance(reading, renditions.Decoded), seed
        assert bool(reading.trouble) == (
            renditions.ensure_rendition(stored.sha256, 320) is None
        ), seed
        assert store.is_intact(stored.sha256), seed

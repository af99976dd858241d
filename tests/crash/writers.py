"""Two writers that keep photos until they are killed, and what is counted after.

A reader reads the photos that were answered, and is killed as they are.

Run as a program in a site's environment: it forks writers that keep one made-up
paper after the other (and now and then a picture), each telling over a pipe what it
was acknowledged. What they send follows from writer and number alone, so a writer
that comes after a killed one sends the same photo again under the same number.
"""

import contextlib
import hashlib
import importlib
import json
import os
import random
import signal
import sqlite3
import sys
import time
import uuid
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import django

ACKNOWLEDGED = 45  # bytes of one line: writer, number
PICTURE_EVERY = 4
READER = "reader"
STEADY, HEAVY = 9, 8
"""Writers of papers of one size, each making the same system calls as the last."""
SIZES = {STEADY: 150_000, HEAVY: 1_400_000}
AT = datetime(2026, 3, 10, 16, 0, tzinfo=UTC)


def client_id_of(writer, number):
    """Return the phone's own number for a writer's n-th photo."""
    return uuid.uuid5(uuid.NAMESPACE_OID, f"{writer} {number}")


def data_of(writer, number):
    """Return the bytes of a writer's n-th photo."""
    draw = random.Random(f"{writer} {number}")
    if writer not in SIZES and number % PICTURE_EVERY == PICTURE_EVERY - 1:
        from tests.pictures import jpeg

        return jpeg(colour=tuple(draw.randbytes(3)))
    size = SIZES.get(writer) or draw.randrange(2_000, 200_000)
    return b"%PDF-1.4\n" + draw.randbytes(size)


@dataclass
class Tally:
    """What was found: goals are 0 lost and 0 torn."""

    acknowledged: int = 0
    lost: int = 0
    torn: int = 0
    rows: int = 0
    not_yet_acknowledged: int = 0
    orphans: int = 0
    temporary: int = 0
    stops: int = 0
    pictures: int = 0
    unread: int = 0
    notes: list = field(default_factory=list)


def count(folder, acknowledged, seen=None, only=""):
    """Compare rows and files below a site's folder with (writer, number) pairs.

    ``seen`` holds hashes of files found whole before and is added to; None looks at
    every file. ``only`` is the one client id whose row is asked for. Returns the
    tally and the rows: client id -> SHA-256.
    """
    known = set() if seen is None else seen
    rows = _rows(folder / "db.sqlite3", only)
    sent = {client_id_of(*pair).hex: pair for pair in acknowledged}
    tally = Tally(acknowledged=len(sent), rows=len(rows))
    look = _whole_objects if "EVIDENCE_HOME" in os.environ else _whole_files
    whole = look(folder / "originals", known, tally)
    for client_id, sha256 in rows.items():
        if sha256 not in whole:
            tally.lost += 1
            tally.notes.append(f"row {client_id} has no whole file {sha256}")
    for client_id, pair in sent.items():
        if client_id not in rows:
            tally.lost += 1
            tally.notes.append(f"photo {pair} was acknowledged and has no row")
    tally.not_yet_acknowledged = len(rows.keys() - sent.keys())
    tally.orphans = len(whole - set(rows.values()))
    return tally, rows


def _rows(database, only):
    # Opening it rolls back what the kill left half done, as the program would.
    with contextlib.closing(sqlite3.connect(database, timeout=20)) as connection:
        return dict(
            connection.execute(
                "SELECT client_id, original_id FROM inventory_evidence "
                "WHERE client_id = ? OR ? = ''",
                (only, only),
            ).fetchall()
        )


def _whole_files(root, known, tally):
    for path in sorted(root.rglob("*")) if root.is_dir() else []:
        if not path.is_file():
            continue
        if path.parent.name.startswith("."):
            tally.temporary += 1
        elif path.name not in known:
            if hashlib.sha256(path.read_bytes()).hexdigest() == path.name:
                known.add(path.name)
            else:
                tally.torn += 1
                tally.notes.append(f"torn: {path}")
    return known


def _whole_objects(_root, known, tally):
    """Look into the bucket instead: only inside the site's own process."""
    from inventory.evidence.store import homes
    from inventory.evidence.store import originals as store

    for name in homes.home().names():
        if name in known:
            continue
        if store.is_intact(name):
            known.add(name)
        else:
            tally.torn += 1
            tally.notes.append(f"torn: {name}")
    return known


# -- inside the site's own process ----------------------------------------------------


def keep(writer, number):
    """Keep one photo as the program does, for the site's first clerk and truck."""
    from django.core.files.uploadedfile import SimpleUploadedFile

    from inventory.actions.evidence.keeping import keep_evidence
    from inventory.models import Delivery, User

    keep_evidence(
        person=User.objects.order_by("pk").first(),
        at=AT,
        upload=SimpleUploadedFile("photo", data_of(writer, number)),
        client_id=client_id_of(writer, number),
        kind="paper",
        delivery=Delivery.objects.select_related("location").order_by("pk").first(),
    )


def preload():
    """Set Django up and import what a writer needs, so that each fork starts at once."""
    django.setup()
    for name in (
        "inventory.actions.evidence.keeping",
        "inventory.actions.evidence.reader",
        *(("boto3",) if "EVIDENCE_HOME" in os.environ else ()),
        "tests.pictures",
        "PIL.JpegImagePlugin",
    ):
        importlib.import_module(name)


def start_writer(writer, first, pipe):
    """Fork a writer that keeps photos from a number on; return its process id."""
    parent = os.getpid()
    pid = os.fork()
    if pid:
        return pid
    try:
        number = first
        while os.getppid() == parent:  # it never outlives those who count
            keep(writer, number)
            os.write(pipe, f"{writer:>20} {number:>23}\n".encode())
            number += 1
    except BaseException as error:  # noqa: BLE001 - whatever it is must be told
        sys.stderr.write(f"writer {writer}: {error!r}\n")
    finally:
        os._exit(1)


def start_reader():
    """Fork the reader of photos, as the working program has one; return its process id."""
    parent = os.getpid()
    pid = os.fork()
    if pid:
        return pid
    try:
        from inventory.actions.evidence import reader

        reader.begin(clock=lambda: AT)
        while os.getppid() == parent:
            time.sleep(0.05)
    finally:
        os._exit(1)


def wait_for_readings(folder, seconds=240):
    """Let a reader read until nothing waits; return the pictures, and those unread."""
    pid, until = start_reader(), time.monotonic() + seconds
    try:
        while True:
            pictures, unread = _pictures(folder / "db.sqlite3")
            if not unread or time.monotonic() > until:
                return pictures, unread
            time.sleep(0.2)
    finally:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)


def _pictures(database):
    with contextlib.closing(sqlite3.connect(database, timeout=20)) as connection:
        rows = connection.execute(
            "SELECT count(DISTINCT e.id), count(DISTINCT e.id) "
            "- count(DISTINCT r.evidence_id) FROM inventory_evidence e "
            "JOIN inventory_original o ON o.sha256 = e.original_id "
            "LEFT JOIN inventory_reading r ON r.evidence_id = e.id "
            "WHERE o.media_type = 'image/jpeg'"
        )
        return rows.fetchone()


def read_acknowledged(pipe):
    """Return the pairs told so far; the pipe does not block."""
    told = b""
    with contextlib.suppress(BlockingIOError):
        while part := os.read(pipe, ACKNOWLEDGED * 1000):
            told += part
    return [tuple(map(int, line.split())) for line in told.splitlines()]


class Crew:
    """Two writers, their pipe, and all that they were acknowledged; maybe a reader."""

    def __init__(self, *, reads=False):
        self.reads = reads
        self.reading, self.writing = os.pipe()
        os.set_blocking(self.reading, False)
        self.acknowledged = set()
        self.next = {1: 0, 2: 0}
        self.pids = {}

    def start(self):
        """Start whichever writer does not run, where the last one was stopped."""
        for writer, first in self.next.items():
            if writer not in self.pids:
                self.pids[writer] = start_writer(writer, first, self.writing)
        if self.reads and READER not in self.pids:
            self.pids[READER] = start_reader()

    def kill(self, writer):
        """Kill one of them as a crash does. Fails if it had ended by itself."""
        pid = self.pids.pop(writer)
        os.kill(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
        assert os.WIFSIGNALED(status), f"{writer} ended by itself"
        self.hear()

    def hear(self):
        """Take down what the writers told."""
        for writer, number in read_acknowledged(self.reading):
            self.acknowledged.add((writer, number))
            self.next[writer] = max(self.next[writer], number + 1)

    def wait_for_one(self):
        """Wait, but not for ever, until one more photo is acknowledged."""
        before, until = len(self.acknowledged), time.monotonic() + 10
        while len(self.acknowledged) == before and time.monotonic() < until:
            time.sleep(0.002)
            self.hear()

    def signal_all(self, number):
        """Send a signal to all of them."""
        for pid in self.pids.values():
            os.kill(pid, number)

    def end(self):
        """Kill whoever is left."""
        for writer in list(self.pids):
            self.kill(writer)


def kill_at_random(kills, seed, folder):
    """Kill writers ``kills`` times at random moments; return the tally of it all."""
    draw, crew, seen = random.Random(seed), Crew(reads=True), set()
    worst = Tally()
    try:
        for _ in range(kills):
            crew.start()
            if draw.random() < 0.8:  # else it may die before it has begun
                crew.wait_for_one()
            time.sleep(draw.uniform(0, 0.25))
            crew.kill(draw.choice((1, 2, READER)))
            if draw.random() < 0.2:  # now and then both, so that nothing else runs
                crew.end()
                found, _ = count(folder, crew.acknowledged, seen)
                worst.lost += found.lost
                worst.torn += found.torn
                worst.notes += found.notes
        until = time.monotonic() + 60
        while max(crew.next.values()) < PICTURE_EVERY and time.monotonic() < until:
            crew.start()  # a busy machine: no picture was kept yet
            crew.wait_for_one()
    finally:
        crew.end()
    last, _ = count(folder, crew.acknowledged)
    last.pictures, last.unread = wait_for_readings(folder)
    last.lost, last.torn = max(last.lost, worst.lost), max(last.torn, worst.torn)
    last.notes += worst.notes
    last.stops = kills
    return last


def main(kills, seed):
    """Kill at random and print the tally as JSON."""
    from django.conf import settings

    preload()
    tally = kill_at_random(int(kills), int(seed), Path(settings.DATA_DIR))
    sys.stdout.write(json.dumps(asdict(tally)) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])

"""Time and memory of what reads the whole chain: ``python -m tests.bench.long_chain``.

``make COUNT`` grows the empty house in the data folder (or DATABASE_URL) of the
environment to so many honest events, each with the images of two crates, a new one and
the one before; ``bare COUNT`` adds events that hold nothing, which is quick enough for a
million. ``verify`` holds of both. ``look`` prints, each in a process of its own,
what a bare reading of the events costs, what verify, backup and publish_root cost, and
root and proofs. ``both COUNT`` makes and looks (``make bench-chain``). A look, never a
test.
"""

import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
BATCH = 2_000
AT = datetime(2026, 3, 1, 15, tzinfo=UTC)
EXHIBITS = 200

BARE = """
import hashlib, json
from django.db import connection
with connection.cursor() if connection.vendor == "sqlite" else connection.chunked_cursor() as cursor:
    cursor.execute("SELECT body, hash FROM inventory_event ORDER BY sequence")
    while rows := cursor.fetchmany(1000):
        for body, sealed in rows:
            assert hashlib.sha256(body.encode()).hexdigest() == sealed
            {parse}
"""
MANAGE = "from django.core.management import call_command\ncall_command({words})"
LOOKS = {
    "start": "pass",
    "bare: read and hash": BARE.format(parse="pass"),
    "bare: read, hash and parse": BARE.format(parse="json.loads(body)"),
    "verify --rows-only": MANAGE.format(words="'verify', '--rows-only'"),
    "backup": MANAGE.format(words="'backup', FOLDER"),
    "backup again": MANAGE.format(words="'backup', FOLDER"),
    "publish_root": MANAGE.format(words="'publish_root'"),
}


def make(count, add):
    """Migrate, make one crate by the acts, and add events until there are so many."""
    from django.core.management import call_command
    from django.db import connection, transaction

    from inventory.derived import OPEN_KINDS, fill
    from inventory.evidence.seal.tiles import fill_tiles
    from inventory.models import Crate, Event
    from inventory.searched import fill_search
    from inventory.triggers import drop_triggers, make_triggers
    from tests import making
    from tests.verifying import record

    call_command("migrate", verbosity=0)
    if not Event.objects.exists():
        with transaction.atomic():
            making.make_crate()
            record(1)
    crate = Crate.objects.latest("pk")
    drop_triggers(connection)
    while (size := Event.objects.count()) < count:
        add(min(BATCH, count - size), crate)
        crate = Crate.objects.latest("pk")
    fill(connection, *OPEN_KINDS)
    fill_search(connection)
    began = time.perf_counter()
    fill_tiles()
    said = (
        f"{time.perf_counter() - began:.1f} s to fill the tiles of {count:,} events\n"
    )
    sys.stdout.write(said)
    make_triggers(connection)


def _add(count, crate):
    from django.db import transaction

    from inventory.models import Crate, Event, EventSubject
    from inventory.models.sealed import image_of
    from inventory.rules.evidence import chain

    last = Event.objects.latest("sequence")
    sequence, previous, key = last.sequence, last.hash, crate.pk
    template, image = image_of(crate), image_of(crate)
    number, events, crates, subjects = crate.number, [], [], []
    for _ in range(count):
        sequence, key, number = sequence + 1, key + 1, number + 1
        mark, before = f"LC-{number}", image
        image = {**template, "mark": mark, "number": number}
        record = {
            "sequence": sequence,
            "kind": "password.changed",
            "at": (AT + timedelta(seconds=sequence)).isoformat(),
            "actor": None,
            "location": None,
            "subjects": [["crate", str(key)], ["shipment", str(crate.shipment_id)]],
            "data": {"name": mark, "words": "As a person would write a remark. " * 6},
            "rows": [["crate", str(key - 1), before], ["crate", str(key), image]],
            "previous": previous,
        }
        body = chain.canonical_json(record)
        sealed = chain.link_hash(record)
        events.append(
            Event(
                sequence=sequence,
                kind=record["kind"],
                recorded_at=AT + timedelta(seconds=sequence),
                data=record["data"],
                body=body,
                previous_hash=previous,
                hash=sealed,
            )
        )
        values = {
            f.attname: getattr(crate, f.attname) for f in Crate._meta.concrete_fields
        }
        crates.append(
            Crate(
                **{
                    **values,
                    "id": key,
                    "mark": mark,
                    "mark_key": f"LC{number}",
                    "number": number,
                }
            )
        )
        subjects += [
            EventSubject(event_id=sequence, noun=noun, key=one)
            for noun, one in record["subjects"]
        ]
        previous = sealed
    with transaction.atomic():
        for model, rows in ((Crate, crates), (Event, events), (EventSubject, subjects)):
            model._base_manager.bulk_create(rows)


def _add_bare(count, _crate):
    from django.db import connection, transaction

    from inventory.models import Event
    from inventory.rules.evidence import chain

    last = Event.objects.latest("sequence")
    sequence, previous, rows = last.sequence, last.hash, []
    for _ in range(count):
        sequence, at = sequence + 1, AT + timedelta(seconds=sequence)
        record = {
            "sequence": sequence,
            "kind": "password.changed",
            "at": at.isoformat(),
            "actor": None,
            "location": None,
            "subjects": [],
            "data": {},
            "rows": [],
            "previous": previous,
        }
        body, sealed = chain.canonical_json(record), chain.link_hash(record)
        when = at if connection.vendor == "postgresql" else at.strftime("%F %T")
        rows.append((sequence, record["kind"], when, "{}", body, previous, sealed))
        previous = sealed
    columns = "sequence, kind, recorded_at, data, body, previous_hash, hash"
    sql = f"INSERT INTO inventory_event ({columns}) VALUES ({', '.join(['%s'] * 7)})"
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.executemany(sql, rows)


def look():
    """Print each figure, from a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        for name, code in LOOKS.items():
            said = f"FOLDER = {folder!r} + '/backup'\n"
            environment = {**os.environ, "ROOT_BOOK": f"{folder}/roots.txt"}
            done = subprocess.run(
                [sys.executable, "-m", "tests.bench.long_chain", "run", said + code],
                env=environment,
                capture_output=True,
                text=True,
                check=False,
            )
            last = done.stdout.strip().splitlines()[-1:] or [done.stderr[-400:]]
            sys.stdout.write(f"{name:28} {last[0]}\n")
            sys.stdout.flush()
    proofs()


def run(code):
    """Execute the code; print its time and the peak of its memory."""
    wall, cpu = time.perf_counter(), time.process_time()
    exec(code, {})
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    sys.stdout.write(f"\n{wall:7.2f} s, {cpu:7.2f} s computing, peak {peak} MB\n")


def proofs():
    """Print what root, inclusion and consistency cost, warm; medians of seven."""
    from inventory.evidence.seal.register import grown_from, paths_of, tree_state

    state = tree_state()
    some = random.Random(7).sample(range(1, state.size + 1), min(EXHIBITS, state.size))
    for name, work in (
        ("root", tree_state),
        ("root of half of it", lambda: tree_state(state.size // 2)),
        ("one inclusion proof", lambda: paths_of(state, some[:1])),
        ("40 inclusion proofs", lambda: paths_of(state, some[:40])),
        (f"{EXHIBITS} anywhere", lambda: paths_of(state, some)),
        (f"{EXHIBITS} of one week", lambda: paths_of(state, range(1, EXHIBITS + 1))),
        ("one consistency proof", lambda: grown_from(state.size // 3, state.size)),
    ):
        times = []
        for _ in range(7):
            wall, cpu = time.perf_counter(), time.process_time()
            work()
            times.append((time.perf_counter() - wall, time.process_time() - cpu))
        wall, cpu = (sorted(one)[3] * 1000 for one in zip(*times, strict=True))
        sys.stdout.write(f"{name:28} {wall:7.1f} ms, {cpu:7.1f} ms computing\n")


if __name__ == "__main__":
    django.setup()
    act, *rest = sys.argv[1:]
    if act in {"make", "bare", "both"}:
        make(int(rest[0]), _add_bare if act == "bare" else _add)
    if act == "run":
        run(rest[0])
    if act in {"look", "both"}:
        look()

"""One bit flipped anywhere in a copy of the house is found where it changes a thing.

What it changed is learnt by other means: every sealed table is dumped by the sqlite3
library alone, cell by cell with its storage class, before and after the flip.
"""

import hashlib
import os
import random
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import TestCase

from claims.actions.packet.packets import build_packet
from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.seal.sealed_tables import sealed_models
from inventory.evidence.seal.snapshots import copy_sqlite, file_snapshot
from inventory.evidence.seal.verification import original_fault, verify
from inventory.models import Event, EventSubject, Original, TreeTile
from inventory.rules.evidence.chain import TILE
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, second_finding, set_stage
from tests.people import cast
from tests.pictures import jpeg
from tests.sizes import cases
from tests.verifying import record

pytestmark = pytest.mark.database

SEED = 20_261_125
# FLIPS=480 for all that the README tells of.
IN_THE_DATABASE = int(os.environ.get("FLIPS", cases(20, 120)))
IN_THE_STORE = cases(10, 120)


def dump(path):
    """Return every sealed cell with its storage class, or why it cannot be read."""
    found = []
    with closing(sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)) as file:
        file.text_factory = bytes
        for model in [Event, EventSubject, TreeTile, *sealed_models()]:
            unsealed = getattr(model, "UNSEALED", ())
            names = [
                field.column
                for field in model._meta.concrete_fields
                if field.name not in unsealed
                and not (model in (EventSubject, TreeTile) and field.primary_key)
            ]
            cells = ", ".join(f'"{name}", typeof("{name}")' for name in names)
            sql = f'SELECT {cells} FROM "{model._meta.db_table}" NOT INDEXED ORDER BY rowid'
            try:
                found.append(file.execute(sql).fetchall())
            except (sqlite3.Error, UnicodeDecodeError) as error:
                found.append(str(error))
    return found


class BitFlips(TestCase):
    @classmethod
    def setUpTestData(cls):
        if connection.vendor != "sqlite":
            return
        people = cast()
        stage = set_stage(people)
        second_finding(stage)
        for shade in (40, 90, 140):
            keep_evidence(
                person=people.tomas,
                at=AT,
                upload=SimpleUploadedFile("photo.jpg", jpeg(colour=(shade, 90, 140))),
                client_id=making.uuid.uuid5(making.uuid.NAMESPACE_OID, f"flip {shade}"),
                kind="damage",
                shipment=stage.shipment,
                caption=f"Übergabe {shade}",
            )
        claim = claim_it(people, stage)
        record(TILE)  # so that a tile of the tree is full
        build_packet(claim=claim, person=people.mina, at=AT, today=TODAY)
        cls.people = people

    def setUp(self):
        if connection.vendor != "sqlite":
            self.skipTest("Bits are flipped in a file of SQLite.")
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.path = Path(folder.name) / "copy.sqlite3"
        copy_sqlite(connection.connection, self.path)

    def flip(self, place, bit):
        with self.path.open("r+b") as file:
            file.seek(place)
            (byte,) = file.read(1)
            file.seek(place)
            file.write(bytes([byte ^ (1 << bit)]))

    def faults(self):
        try:
            with file_snapshot(self.path) as moment:
                return verify(moment, read_original=None).faults
        except sqlite3.Error:
            return 1  # not even the file can be opened, and that is said too

    @pytest.mark.slow
    def test_every_flip_that_changes_a_sealed_cell_is_found(self):
        assert self.faults() == 0
        data, before = self.path.read_bytes(), dump(self.path)
        written = [place for place, byte in enumerate(data) if byte]
        chance = random.Random(SEED)
        changing, missed = 0, []
        for _ in range(IN_THE_DATABASE):
            place, bit = chance.choice(written), chance.randrange(8)
            self.flip(place, bit)
            if dump(self.path) != before:
                changing += 1
                if not self.faults():
                    missed.append((place, bit))
            self.flip(place, bit)

        assert missed == []
        assert changing > IN_THE_DATABASE // 4
        assert self.path.read_bytes() == data

    @pytest.mark.slow
    def test_every_flip_in_a_stored_original_is_found(self):
        rows = list(Original.objects.order_by("sha256"))
        chance = random.Random(SEED)
        for _ in range(IN_THE_STORE):
            row = chance.choice(rows)
            data = bytearray(jpeg_of(row))
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)

            said = original_fault(row.sha256, row.size, lambda _, d=data: iter([d]))

            assert said == f"Original {row.sha256} no longer has its hash."


def jpeg_of(row):
    from inventory.evidence.store import originals as store

    data = b"".join(store.read_original(row.sha256))
    assert hashlib.sha256(data).hexdigest() == row.sha256
    return data

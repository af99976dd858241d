"""The other side checks a packet with the program that came with it, and no more."""

import hashlib
import io
import json
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from pypdf import PdfReader

from claims.actions.packet.packets import build_packet, packet_bytes
from claims.documents.packet import checker_text
from claims.rules.packet import content as packet_content
from claims.rules.packet.handed_over import manifest_bytes
from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.store import originals as store
from inventory.models import Evidence
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast
from tests.pictures import jpeg
from tests.reading import read_photos

pytestmark = pytest.mark.database


class ProofTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)
        for shade in (40, 90, 140):
            cls.keep(shade)
        cls.packet = build_packet(
            claim=cls.claim, person=cls.people.mina, at=AT, today=TODAY
        )
        cls.pdf = packet_bytes(cls.packet)
        cls.content = packet_content.from_json(cls.packet.content)

    @classmethod
    def keep(cls, shade):
        keep_evidence(
            person=cls.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("photo.jpg", jpeg(colour=(shade, 140, 90))),
            client_id=making.uuid.uuid5(making.uuid.NAMESPACE_OID, f"proof {shade}"),
            kind="damage",
            shipment=cls.stage.shipment,
        )
        read_photos(at=AT)

    def setUp(self):
        self.folder = Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.folder)
        files = PdfReader(io.BytesIO(self.pdf)).attachments
        for name in ("manifest.json", "check_packet.py"):
            (self.folder / name).write_bytes(files[name][0])
        self.originals = self.folder / "originals"
        self.originals.mkdir()
        self.listed = json.loads((self.folder / "manifest.json").read_text())
        for one in self.listed["originals"]:
            data = b"".join(store.read_original(one["sha256"]))
            (self.originals / one["file"]).write_bytes(data)

    def check(self, *, of="manifest.json", size=None, root=None, typed=None):
        words = [] if typed else [size or f"{self.packet.tree_size:,}"]
        if not typed:
            words += (root or self.packet.root).split()
        return subprocess.run(
            [sys.executable, "-I", "check_packet.py", of, "originals", *words],
            cwd=self.folder,
            input=typed,
            capture_output=True,
            text=True,
            check=False,
        )

    def refused(self, words, **over):
        done = self.check(**over)
        assert done.returncode == 1, done.stdout
        assert "ALL WELL" not in done.stdout
        assert words in done.stdout + done.stderr

    def rewrite(self, change):
        change(self.listed)
        text = json.dumps(
            self.listed, sort_keys=True, ensure_ascii=False, separators=(",", ":")
        )
        (self.folder / "manifest.json").write_text(text)

    def test_a_true_packet_is_accepted(self):
        done = self.check()

        assert done.returncode == 0, done.stderr
        assert f"ALL WELL: Claim {self.claim.number}, 3 originals" in done.stdout

    def test_the_packets_own_file_will_do(self):
        (self.folder / "packet.pdf").write_bytes(self.pdf)

        assert self.check(of="packet.pdf").returncode == 0

    def test_the_root_may_be_typed_in_groups_or_in_half_and_asked_for(self):
        root = self.packet.root.upper()
        groups = " ".join(root[at : at + 4] for at in range(0, 64, 4))

        assert self.check(root=groups).returncode == 0
        assert self.check(root=root[:32]).returncode == 0
        typed = f"{self.packet.tree_size}\n{groups}\n"
        assert self.check(typed=typed).returncode == 0

    def test_a_root_too_short_to_mean_anything_is_refused(self):
        self.refused("too short", root=self.packet.root[:31])

    def test_a_changed_photo_is_refused(self):
        file = self.originals / self.listed["originals"][1]["file"]
        data = bytearray(file.read_bytes())
        data[100] ^= 1
        file.write_bytes(data)

        self.refused("IS NOT THE ORIGINAL")

    def test_a_mistyped_value_is_said_to_be_mistyped(self):
        root = self.packet.root
        wrong = ("0" if root[5] != "0" else "1") + root[6:]
        self.refused("mistyped: 1 of its characters differ", root=root[:5] + wrong)
        self.refused("mistyped", root=root + "0")

    def test_the_list_of_another_claim_file_is_named(self):
        self.rewrite(lambda listed: listed["tree"].update(root="9f" * 32))
        self.refused("this is the list of another claim file")

    def test_each_fault_has_a_sentence_of_its_own(self):
        """One changed byte, a missing file, a mistyped value, another list."""
        entries = self.listed["originals"]
        changed = self.originals / entries[0]["file"]
        data = changed.read_bytes()
        changed.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
        (self.originals / entries[1]["file"]).unlink()
        said = self.check().stdout
        assert f"THE FILE {changed.name} IS NOT THE ORIGINAL" in said
        assert f"the file {entries[1]['file']} is not in the folder" in said

    def test_swapped_photos_are_refused(self):
        one, other = (
            self.originals / entry["file"] for entry in self.listed["originals"][:2]
        )
        one_data, other_data = one.read_bytes(), other.read_bytes()
        one.write_bytes(other_data)
        other.write_bytes(one_data)

        self.refused("2 faults in 3 originals")

    def test_a_missing_photo_is_told(self):
        (self.originals / self.listed["originals"][0]["file"]).unlink()

        self.refused("is not in the folder")

    def test_a_list_changed_to_fit_a_changed_photo_is_refused(self):
        entry = self.listed["originals"][0]
        forged = b"another photo"
        (self.originals / entry["file"]).write_bytes(forged)

        def change(listed):
            listed["originals"][0] |= {
                "sha256": hashlib.sha256(forged).hexdigest(),
                "size": len(forged),
            }

        self.rewrite(change)
        self.refused("the list names another SHA-256")

    def test_a_record_changed_to_fit_is_refused(self):
        entry = self.listed["originals"][0]
        forged = b"another photo"
        digest = hashlib.sha256(forged).hexdigest()
        (self.originals / entry["file"]).write_bytes(forged)

        def change(listed):
            one = listed["originals"][0]
            one["sealed"]["body"] = one["sealed"]["body"].replace(one["sha256"], digest)
            one |= {"sha256": digest, "size": len(forged)}

        self.rewrite(change)
        self.refused("is not in the tree")

    def test_every_change_of_the_list_is_refused(self):
        def swap_records(listed):
            first, second = listed["originals"][:2]
            first["sealed"], second["sealed"] = second["sealed"], first["sealed"]

        changes = (
            swap_records,
            lambda listed: listed["originals"][0].update(sealed=None),
            lambda listed: listed["originals"][0].update(size=1),
            lambda listed: listed["originals"][0].update(evidence="x"),
            lambda listed: listed["originals"][0]["sealed"].update(sequence=1),
            lambda listed: listed["originals"][0]["sealed"]["path"].pop(),
            lambda listed: listed["originals"][0]["sealed"]["path"].append("00" * 32),
            lambda listed: listed["originals"][0].pop("file"),
            lambda listed: listed["originals"].clear(),
            lambda listed: listed.pop("tree"),
        )
        honest = json.dumps(self.listed)
        for change in changes:
            self.listed = json.loads(honest)
            self.rewrite(change)
            self.refused("NOT WELL")

    def test_a_tree_that_was_cut_off_is_refused(self):
        size = self.packet.tree_size
        self.refused("the number of events", size=str(size - 1))
        self.refused("another claim file, or", root="ab" * 32)

        def cut(listed):
            listed["tree"]["size"] = size - 1

        self.rewrite(cut)
        self.refused("is not in the tree", size=str(size - 1))

    def test_a_list_from_another_root_is_refused_though_it_says_the_typed_one(self):
        def pretend(listed):
            listed["tree"]["root"] = "cd" * 32

        self.rewrite(pretend)
        self.refused("is not in the tree", root="cd" * 32)

    def test_the_page_prints_what_is_typed_and_the_hash_of_the_list(self):
        pages = PdfReader(io.BytesIO(self.pdf)).pages
        text = "".join("".join(page.extract_text() for page in pages).split())
        listed = (self.folder / "manifest.json").read_bytes()

        assert self.packet.root in text
        assert f"Eventsrecorded:{self.packet.tree_size}" in text
        assert hashlib.sha256(listed).hexdigest() in text
        assert "Originalslisted:3" in text
        assert listed == manifest_bytes(self.content)

    def test_what_goes_out_holds_no_remark_and_no_id_of_ours(self):
        row = Evidence.objects.first()
        for one in self.listed["originals"]:
            assert 'remarks":' not in one["sealed"]["body"]
            assert str(row.client_id) not in one["sealed"]["body"]

    def test_the_attachments_say_what_they_are(self):
        reader = PdfReader(io.BytesIO(self.pdf))
        kinds = {
            one.name: (one.associated_file_relationship, one.subtype)
            for one in reader.attachment_list
        }

        assert kinds == {
            "manifest.json": ("/Data", "/application/json"),
            "check_packet.py": ("/Supplement", "/text/x-python"),
        }
        assert len(reader.trailer["/Root"]["/AF"]) == 2
        assert [one.title for one in reader.outline[:1]] == ["Letter"]

    def test_the_program_is_short_and_is_the_one_that_is_kept(self):
        text = (self.folder / "check_packet.py").read_text()

        assert text == checker_text()
        assert len(text.splitlines()) < 115
        imported = set(re.findall(r"^(?:import|from) (\w+)", text, re.MULTILINE))
        assert imported == {"__future__", "hashlib", "json", "pathlib", "sys", "typing"}

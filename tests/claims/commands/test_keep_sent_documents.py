"""Packets of earlier versions: taken in where their file is whole, named where not."""

from io import StringIO
from unittest.mock import patch

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.test import TestCase

from claims.actions.packet.earlier_packets import earlier_packets, keep_earlier_packets
from claims.actions.packet.packets import packet_bytes
from claims.management.after_migration import keep_packets_after_migrate
from claims.models import Packet
from inventory.evidence.seal.sent_documents import LostDocumentError
from inventory.evidence.store.homes import StoreUnavailableError
from inventory.evidence.store.packets import keep_packet, packet_path
from inventory.models import Event, Original, SentDocument
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.verifying import behind_the_back, report_now

pytestmark = pytest.mark.database

FIRST, SECOND, THIRD = (b"%PDF-1.4 " + str(number).encode() for number in range(3))


class TestKeepSentDocuments(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.claim = making.make_claim(made_by=cls.who.mina)

    def packet(self, data):
        sha256 = keep_packet(data)
        self.addCleanup(packet_path(sha256).unlink, missing_ok=True)
        return Packet.objects.create(
            claim=self.claim,
            packet_version=self.claim.packets.count() + 1,
            as_of=ARRIVED.date(),
            content="{}",
            tree_size=1,
            root="0" * 64,
            sha256=sha256,
            size=len(data),
            made_at=ARRIVED,
            made_by=self.who.mina,
        )

    def run_it(self):
        told, code = StringIO(), 0
        try:
            call_command("keep_sent_documents", stdout=told)
        except SystemExit as left:
            code = left.code
        return told.getvalue(), code

    def test_a_whole_file_is_kept_and_the_folder_is_needed_no_more(self):
        packet = self.packet(FIRST)

        assert self.run_it() == ("Kept: 1. Missing: 0.\n", 0)

        packet_path(packet.sha256).unlink()
        assert packet_bytes(packet) == FIRST
        sent = SentDocument.objects.get()
        assert (sent.original_id, sent.document_version) == (packet.sha256, 1)
        assert (sent.made_at, sent.made_by) == (ARRIVED, self.who.mina)
        told = Event.objects.latest("sequence")
        assert (told.kind, told.actor) == ("packet.kept", None)
        assert f'["sentdocument","{sent.pk}"' in told.body

    def test_missing_and_changed_files_are_named_and_the_others_kept(self):
        gone, changed, whole = map(self.packet, (FIRST, SECOND, THIRD))
        packet_path(gone.sha256).unlink()
        packet_path(changed.sha256).write_bytes(b"%PDF-1.4 something else")

        told, code = self.run_it()

        assert code == 1
        assert "Kept: 1. Missing: 2." in told
        for packet in (gone, changed):
            assert f"{packet}: file {packet.sha256} missing" in told
            with pytest.raises(LostDocumentError, match="not drawn again"):
                packet_bytes(packet)
        assert whole.sha256 not in told

    def test_broken_off_it_goes_on_where_it_stopped(self):
        first, second = self.packet(FIRST), self.packet(SECOND)
        steps = keep_earlier_packets(at=ARRIVED)
        assert next(steps).packet == first
        assert list(earlier_packets()) == [second]

        assert self.run_it() == ("Kept: 1. Missing: 0.\n", 0)
        assert self.run_it() == ("Kept: 0. Missing: 0.\n", 0)
        assert SentDocument.objects.count() == 2

    def test_where_the_disk_refuses_it_stops_and_says_so(self):
        self.packet(FIRST)
        refuse = StoreUnavailableError("The disk is nearly full.")
        with (
            patch(
                "inventory.evidence.store.originals.store_original", side_effect=refuse
            ),
            pytest.raises(CommandError, match="Kept so far: 0"),
        ):
            call_command("keep_sent_documents", stdout=StringIO())
        assert not SentDocument.objects.exists()

    def test_a_migration_keeps_them_too_and_warns_of_those_missing(self):
        self.packet(FIRST)
        packet_path(self.packet(SECOND).sha256).unlink()
        last = [one for one in apps.get_app_configs() if one.models_module][-1]

        with self.assertLogs("claims.management.after_migration") as log:
            keep_packets_after_migrate(sender=last, using="default")

        assert SentDocument.objects.count() == 1
        assert "1 claim file is missing" in log.output[0]

    def test_a_sent_document_is_never_changed(self):
        self.packet(FIRST)
        self.run_it()
        for act in (
            "UPDATE inventory_sentdocument SET kind = 'notice'",
            "DELETE FROM inventory_sentdocument",
        ):
            with (
                pytest.raises(IntegrityError, match="append-only"),
                transaction.atomic(),
                connection.cursor() as cursor,
            ):
                cursor.execute(act)

    def test_verify_names_a_document_whose_original_is_gone(self):
        packet = self.packet(FIRST)
        self.run_it()
        told = f"and its original {packet.sha256} is gone."
        assert not [said for said in self.faults() if said.endswith(told)]

        sent = SentDocument.objects.get()
        behind_the_back("UPDATE inventory_sentdocument SET original_id = %s", "0" * 64)
        wrong = f"Claim packet of packet {packet.pk} went out, and its original {'0' * 64} is gone."
        assert wrong in self.faults()
        behind_the_back(
            "UPDATE inventory_sentdocument SET original_id = %s", sent.original_id
        )

    def test_verify_names_a_kept_document_that_was_taken_out(self):
        self.packet(FIRST)
        self.run_it()
        sent = SentDocument.objects.get()
        behind_the_back("DELETE FROM inventory_sentdocument")
        assert any(
            said.startswith(f"sentdocument {sent.pk}, written by event")
            for said in self.faults()
        )
        assert Original.objects.filter(pk=sent.original_id).exists()

    def faults(self):
        with patch("inventory.evidence.seal.verification.SHOWN", 10_000):
            return report_now().first

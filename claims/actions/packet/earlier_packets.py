"""Taking in the packets that were made before documents were kept as originals."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import CharField, Exists, OuterRef, QuerySet
from django.db.models.functions import Cast

from claims.models import Packet
from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.evidence.seal.sent_documents import last_sent
from inventory.evidence.store import packets
from inventory.models import SentDocument
from inventory.rules.core.sent_documents import PACKET


@dataclass(frozen=True)
class TakenIn:
    """One earlier packet, and whether its file was there to be kept."""

    packet: Packet
    is_kept: bool


def earlier_packets() -> "QuerySet[Packet]":
    """Return the packets whose files are not kept as originals yet, in order."""
    kept = SentDocument.objects.filter(
        noun="packet", kind=PACKET, key=OuterRef("text_key")
    )
    rows = Packet.objects.annotate(text_key=Cast("pk", CharField()))
    joined = rows.select_related("claim__location", "claim__shipment", "made_by")
    return joined.filter(~Exists(kept)).order_by("pk")


def keep_earlier_packets(*, at: datetime) -> Iterator[TakenIn]:
    """Keep the file of each earlier packet, one transaction each; yield each packet.

    Repeatable: broken off, it goes on where it stopped. A file that is missing or has
    another hash is not kept. Raises RefusedError where the disk refuses.
    """
    for packet in earlier_packets():
        data = packets.read_packet(packet.sha256)
        if data is not None:
            _keep(packet, data, at)
        yield TakenIn(packet, is_kept=data is not None)


def _keep(packet: Packet, data: bytes, at: datetime) -> None:
    document = store_document(data)
    claim = packet.claim
    with transaction.atomic():
        begin_sending(document)
        if last_sent(packet, PACKET):
            return
        keep_sent(
            document,
            about=packet,
            kind=PACKET,
            version=packet.packet_version,
            location=claim.location,
            person=packet.made_by,
            at=packet.made_at,
        )
        record_event(
            kind="packet.kept",
            at=at,
            actor=None,
            location=claim.location,
            subjects=[claim.shipment, claim],
            data={
                "number": claim.number,
                "version": packet.packet_version,
                "sha": packet.sha256,
            },
        )

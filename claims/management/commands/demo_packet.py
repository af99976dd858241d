"""Build the demo claim's packet without a server."""

from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from claims.actions.packet.packets import build_packet, packet_bytes
from claims.models import Claim, Packet
from claims.queries.claim.proof import evidence_of, proof_of
from claims.queries.claim.worksheet import counted_lines
from inventory.evidence.store.packets import keep_packet, packet_path
from inventory.models import User


class Command(BaseCommand):
    """Migrate and load the demo if needed, freeze the packet, print its path."""

    help = "Build the demo claim's packet and print the file's path on the last line."

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Take the packet frozen before, or freeze the first one."""
        call_command("migrate", interactive=False, verbosity=0)
        call_command("load_demo", once=True, stdout=self.stdout)
        claim = _ready_claim()
        if claim is None:
            raise CommandError("There is no demo claim ready to file.")
        packet = claim.packets.order_by("packet_version").first() or self._build(claim)
        keep_packet(packet_bytes(packet))
        self.stdout.write(f"Claim {claim.number}, packet {packet.packet_version}.")
        self.stdout.write(str(packet_path(packet.sha256)))

    def _build(self, claim: Claim) -> Packet:
        person = User.objects.get(pk=claim.made_by_id)
        return build_packet(
            claim=claim,
            person=person,
            at=timezone.now(),
            today=timezone.localdate(),
        )


def _ready_claim() -> Claim | None:
    """Return the first drafted claim that lacks no paper, or has a packet."""
    rows = Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__supplier", "shipment__location"
    ).order_by("pk")
    with_packet = rows.filter(packets__isnull=False).first()
    if with_packet:
        return with_packet
    for claim in rows.filter(state="drafted"):
        lines = counted_lines(claim)
        if lines and not proof_of(claim, lines, evidence_of(claim.shipment)).missing:
            return claim
    return None

"""Make the demo claim's claim file without a server."""

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
from inventory.views.core.clock import today_at


class Command(BaseCommand):
    """Migrates and loads the demo if needed, freezes the claim file, prints its path."""

    help = "Make the demo claim's claim file and print its path on the last line."

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Use the claim file frozen before, or freeze the first one."""
        call_command("migrate", interactive=False, verbosity=0)
        call_command("load_demo", once=True, stdout=self.stdout)
        claim = _ready_claim()
        if claim is None:
            raise CommandError("There is no demo claim ready to file.")
        packet = claim.packets.order_by("packet_version").first() or self._build(claim)
        keep_packet(packet_bytes(packet))
        self.stdout.write(f"Claim {claim.number}, claim file {packet.packet_version}.")
        self.stdout.write(str(packet_path(packet.sha256)))

    def _build(self, claim: Claim) -> Packet:
        person = User.objects.get(pk=claim.made_by_id)
        return build_packet(
            claim=claim,
            person=person,
            at=timezone.now(),
            today=today_at(claim.location),
        )


def _ready_claim() -> Claim | None:
    """Return the first draft claim that lacks no document, or has a claim file."""
    rows = Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__supplier", "shipment__location"
    ).order_by("pk")
    with_packet = rows.filter(packets__isnull=False).first()
    if with_packet:
        return with_packet
    for claim in rows.filter(state=Claim.life.first):
        lines = counted_lines(claim)
        if lines and not proof_of(claim, lines, evidence_of(claim.shipment)).missing:
            return claim
    return None

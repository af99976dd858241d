"""A claim's rows gathered into the frozen content of a claim file."""

from claims.queries.claim.proof import proof_of
from claims.queries.core.way_home import credit_words
from claims.queries.letters.notices import sender_of
from claims.queries.packet.cover import cover_of, neutral_lines
from claims.queries.packet.exhibits import PagesOf, exhibits_of
from claims.queries.packet.findings import (
    custody_entries,
    finding_entries,
    receipt_entries,
    stood_crates,
)
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.manifest import manifest_of
from claims.queries.packet.schedule import schedule_of
from claims.queries.packet.statement import loss_facts, statement_of
from claims.queries.packet.text import letter_day
from claims.rules.packet import wording
from claims.rules.packet.content import EventTree, PacketContent
from claims.rules.packet.readiness import ReadyFacts
from inventory.evidence.pictures.exhibits import pages_of
from inventory.evidence.seal.register import TreeState


def packet_content(
    gathered: Gathered,
    *,
    version: int,
    tree: TreeState,
    checker: str,
    pages: PagesOf = pages_of,
) -> PacketContent:
    """Return the claim file's content as it is now.

    ``checker`` is the program that goes out with the list of originals, ``pages`` gives
    the pages of each file. Raise DamagesError where the lines contradict each other.
    """
    claim, as_of = gathered.claim, gathered.as_of
    is_ours = claim.claimant == "us"
    files = gathered.files
    return PacketContent(
        title=f"Claim {claim.number}" if is_ours else f"Hand-over {claim.number}",
        version=str(version),
        as_of=letter_day(as_of),
        made_on=as_of.isoformat(),
        paper="a4" if claim.location.paper == "a4" else "letter",
        edition="claim" if is_ours else "hand-over",
        cover=cover_of(gathered),
        statement=statement_of(gathered),
        schedule=schedule_of(gathered),
        receipts=receipt_entries(gathered),
        findings=finding_entries(gathered),
        custody=custody_entries(gathered),
        exhibits=exhibits_of(gathered, pages),
        neutral_lines=neutral_lines(gathered),
        tree=EventTree(size=f"{tree.size:,}", root=tree.root),
        manifest=manifest_of(files, tree) if files else None,
        checker=checker if files else "",
    )


def ready_facts(gathered: Gathered) -> ReadyFacts:
    """Return what decides whether the claim file may be confirmed."""
    claim, shipment = gathered.claim, gathered.claim.shipment
    claimant = sender_of(claim.location)
    proof = proof_of(claim, list(gathered.lines), list(gathered.files))
    units = {line.unit.pk: line.unit for line in gathered.lines if line.unit}
    stood = bool(stood_crates(gathered))
    told = claim.stood_at and claim.stood_moves and claim.stood_unopened
    return ReadyFacts(
        claimant=claimant.name,
        claimant_lines=claimant.lines,
        claimant_is_supplier=claim.claimant == "supplier",
        supplier=shipment.supplier.name if shipment.supplier else "",
        pro=shipment.pro_number,
        bol=shipment.bol_number,
        assertion=wording.liability(loss_facts(gathered)),
        amount_cents=gathered.sheet.demanded_cents,
        missing_papers=tuple(paper.label for paper in proof.missing),
        certified_alone=claim.is_only_claim,
        extent_known=bool(claim.extent),
        signer_title=claim.signer_title,
        signer_phone=claim.signer_phone,
        condition_known=all(unit.condition for unit in units.values()),
        freight_class=shipment.freight_class,
        custody_open=stood and not told,
        repair_known=bool(statement_of(gathered).notice.repair)
        or shipment.crate_return_id is not None,
        credited=credit_words(claim),
    )

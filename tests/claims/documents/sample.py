"""A whole packet of invented content, with pictures on disk."""

import dataclasses
import hashlib
from datetime import UTC, datetime
from functools import cache
from io import BytesIO

from PIL import Image

from claims.rules.packet.content import (
    ClaimStatement,
    DeadlineEntry,
    EventTree,
    EvidenceEntry,
    FindingEntry,
    Line,
    PacketContent,
    Party,
    Photo,
    ProofPaper,
    Reasoning,
    ReceiptExceptions,
    Row,
    Ruler,
    Schedule,
    ShipmentFacts,
    Step,
    StoryEvent,
)
from fixtures.pictures import draw
from inventory.rules.core.pictures import Picture

WORDS = (
    "2 crates billed, 2 received. Crate 1 of 2 QB-0417: side 2 and top crushed, corner "
    "post split, slats in. Crate 2 of 2 QB-0418: clear on the outside."
)
DRAWN = (
    ("crate-crushed-corner", "Crate 1 of 2, top corner of side 2 staved in"),
    ("bent-deck", "Deck shell bent 3/4 in at the left trim side"),
    ("cracked-hood", "Cowl cracked from the edge to the latch"),
    ("receipt-signed", "Our copy of the delivery receipt, signed"),
)


@cache
def _drawn(kind):
    taken = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)
    return draw(kind, seed=4, taken=taken, words=WORDS, size=(800, 600))


def write_pictures(folder):
    """Write the pictures under ``folder`` as renditions are kept; return photos."""
    photos = []
    for kind, caption in DRAWN:
        data = _plain(_drawn(kind))
        name = hashlib.sha256(data).hexdigest()
        path = f"{name[:2]}/{name}-1600.jpg"
        (folder / name[:2]).mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)
        photos.append(
            Photo(
                picture=Picture(name, path, 800, 600),
                caption=caption,
                received="10 March 2026, 10:41:07 CDT",
                camera_time="10 March 2026, 10:30:00 -05:00",
                taken_by="Rosa Tellow",
                sha256=hashlib.sha256(_drawn(kind)).hexdigest(),
            )
        )
    return tuple(photos)


@cache
def _plain(data):
    out = BytesIO()
    Image.open(BytesIO(data)).save(out, "JPEG", quality=82)
    return out.getvalue()


def sample_packet(folder, **over):
    """Return the content of a packet, its pictures written under ``folder``."""
    crate, deck, hood, receipt = write_pictures(folder)
    values = {
        "title": "Claim QN-2026-0007",
        "version": "1",
        "as_of": "17 March 2026",
        "paper": "letter",
        "statement": _statement(),
        "schedule": _schedule(),
        "findings": _findings(crate, deck, hood),
        "exceptions": (
            ReceiptExceptions(
                delivery="Delivery of 10 March 2026, 10:20",
                words=WORDS,
                stands_on="Both copies",
                how_signed="Driver signed with our words",
                driver="Lou Garrity",
                carrier_image="Our words are on it, seen 12 March 2026",
                photos=(receipt,),
            ),
        ),
        "deadlines": _deadlines(),
        "reasoning": Reasoning(
            answer="We claim: the risk was ours when the damage happened.",
            reasons=(
                "The bill of lading is a straight bill and names us as consignee.",
                "Terms are FOB origin, so the risk passed to us when the carrier "
                "received the goods.",
                "No other claim is known to be filed on this freight bill.",
            ),
            authorities=("49 U.S.C. 14706(a)(1)", "UCC 2-319(1)(a)", "UCC 2-509(1)(a)"),
        ),
        "papers": (
            ProofPaper("Bill of lading", "present", "Rosa Tellow"),
            ProofPaper("Freight bill and proof of payment", "present", "Abel Quist"),
            ProofPaper("Supplier invoice, net of discounts", "present", "Abel Quist"),
            ProofPaper("Signed delivery receipt", "present", "Rosa Tellow"),
            ProofPaper(
                "Inspection report or waiver",
                "missing",
                "Mina Osterby",
                "The carrier was asked on 11 March 2026 and has not answered.",
            ),
            ProofPaper(
                "Certificate of non-receipt", "not needed", note="Nothing is short."
            ),
        ),
        "chronology": tuple(
            StoryEvent(
                f"{10 + n // 6} March 2026, {9 + n % 6}:20 CDT",
                what,
                "Rosa Tellow",
            )
            for n, what in enumerate(
                (
                    "Delivery recorded: Gannet Overland, driver Lou Garrity, trailer "
                    "GN53118, seal read 5519023 before it was cut.",
                    "Crate 1 of 2: exception recorded on side 2 and top.",
                    "Rest of the load recorded clear: 1 crate.",
                    "Delivery receipt signed with our words on both copies.",
                    "Photo of the signed receipt received.",
                    "Crate 1 of 2 opened; packaging held.",
                    "Finding 1 recorded: mower deck bent.",
                    "Finding 2 recorded: engine cowl cracked.",
                    "Notice of damage sent to the carrier by e-mail.",
                    "Parts priced.",
                    "Claim drafted from two findings.",
                )
            )
        ),
        "evidence": tuple(
            EvidenceEntry(
                number=str(n + 1),
                kind="Photo of damage",
                file_kind="JPEG",
                size="2,914,221 bytes",
                received="10 March 2026, 10:41:07 CDT",
                sha256=hashlib.sha256(f"original {n}".encode()).hexdigest(),
            )
            for n in range(18)
        ),
        "tree": EventTree("412", hashlib.sha256(b"root").hexdigest()),
    }
    return PacketContent(**{**values, **over})


def replace(content, **statement):
    """Return the content with parts of its statement replaced."""
    return dataclasses.replace(
        content, statement=dataclasses.replace(content.statement, **statement)
    )


def _statement():
    return ClaimStatement(
        claim_number="QN-2026-0007",
        kind="Damage",
        carrier=Party(
            "Gannet Overland",
            ("Cargo claims", "1500 Relay Street", "Dunmarrow, NE 68999"),
        ),
        claimant=Party(
            "Quillback Northgate", ("880 Granary Road", "East Tallow, IA 52999")
        ),
        carrier_claim_number="",
        shipment=ShipmentFacts(
            pro="410-220871",
            bol_number="CBM-77120",
            bol_date="6 March 2026",
            carrier="Gannet Overland (SCAC GNVR)",
            shipper="Cinderbrook Mowers, 18 Foundry Way, Old Marl, WI 53999",
            consignee="Quillback Northgate, 880 Granary Road, East Tallow, IA 52999",
            origin="Old Marl, WI",
            destination="East Tallow, IA",
            pieces="2 crates billed, 2 received",
            weight="1,240 lb",
            delivered_on=("10 March 2026",),
            goods=("Cinderbrook ZT 52, serial CB52A01874",),
            more=(Row("Trailer, seal", "GN53118, seal 5519023"),),
        ),
        assertion=(
            "The goods were received by the carrier in good order and delivered "
            "damaged. We assert that the carrier is liable for this loss under "
            "49 U.S.C. 14706."
        ),
        amount="1,169.20",
        currency="USD",
        statement_date="17 March 2026",
        signed_by="Mina Osterby",
        signed_as="Manager",
        remarks=(
            "The goods and their packaging are held for the carrier's inspection.",
        ),
    )


def _schedule():
    return Schedule(
        basis="Invoice value, net of discounts; repair costs less than the loss in value.",
        lines=(
            Line(
                "1",
                "Cinderbrook ZT 52, mower deck bent",
                "Repair",
                (
                    Step("Deck shell, 52 in (CB-5210), 1 x 642.50", "642.50"),
                    Step("Anti-scalp wheel (CB-1188), 1 x 23.40", "23.40"),
                    Step("Labor, 2.50 h x 96.00", "240.00"),
                ),
                "905.90",
            ),
            Line(
                "2",
                "Cinderbrook ZT 52, engine cowl cracked",
                "Repair",
                (
                    Step("Engine cowl (CB-3107), 1 x 214.80", "214.80"),
                    Step("Labor, 0.75 h x 96.00", "72.00"),
                ),
                "263.30",
                "Lowered by 23.50 by Mina Osterby: part of the labor is shared with line 1.",
            ),
        ),
        worksheet=(
            Step("Line 1", "905.90"),
            Step("Line 2", "263.30"),
            Step("Less salvage", "- 0.00"),
            Step("Amount demanded, USD", "1,169.20", is_total=True),
        ),
        limits=(
            "No released value stands on the bill of lading, so no limit per pound "
            "was applied.",
        ),
    )


def _findings(crate, deck, hood):
    common = {
        "subject": "Cinderbrook ZT 52, serial CB52A01874, crate QB-0417",
        "found": "11 March 2026, 09:05 CDT, by Tomas Brinn",
    }
    return (
        FindingEntry(
            number="1",
            title="Mower deck, bent",
            stage="At uncrating",
            severity="severe",
            facts="Deck shell bent 3/4 in at the left trim side, under the broken corner.",
            visible_at_delivery="Yes: the crate was marked there at the tailgate.",
            opinion="Transit. The crate was struck from above.",
            repair="Deck shell and anti-scalp wheel, 2.50 h",
            faces=("side-2", "top"),
            photos=(crate, deck),
            **common,
        ),
        FindingEntry(
            number="2",
            title="Engine cowl, cracked",
            stage="At uncrating",
            severity="moderate",
            facts="Cowl cracked from the edge to the latch, 7 in long.",
            visible_at_delivery="No: under the wrap inside the crate.",
            photos=(hood,),
            **common,
        ),
    )


def _deadlines():
    return (
        DeadlineEntry(
            duty="File the claim with the carrier",
            owed_by="us",
            due="10 December 2026",
            safe="1 December 2026",
            status="running",
            steps=(
                "Delivery: 10 March 2026.",
                "Nine months by the bill: 10 December 2026.",
                "No shorter term in the carrier's contract.",
            ),
            authority="49 U.S.C. 14706(e)(1); bill of lading, Sec. 3(b)",
            confidence="text seen",
            effect="The claim is barred.",
            ruler=Ruler("10 March 2026", 930, 1000, 25),
        ),
        DeadlineEntry(
            duty="Acknowledge the claim",
            owed_by="the carrier",
            due="16 April 2026",
            safe="",
            status="starts when receipt is proven",
            steps=("30 days after receipt; day of receipt not counted.",),
            authority="49 CFR 370.5(a)",
            confidence="text seen",
        ),
    )

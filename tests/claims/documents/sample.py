"""A whole packet of invented content, with pictures on disk."""

import dataclasses
import hashlib
from datetime import UTC, datetime
from functools import cache
from io import BytesIO

from PIL import Image

from claims.rules.packet.content import (
    ArticleFacts,
    ClaimStatement,
    CoverLetter,
    EventTree,
    Exhibit,
    NoticeFacts,
    PacketContent,
    Party,
    Row,
    ShipmentFacts,
    Signer,
)
from claims.rules.packet.loss import AmountRow, Line, Schedule, Step
from claims.rules.packet.recorded import CustodyEntry, FindingEntry, ReceiptEntry
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

TITLES = {
    "crate-crushed-corner": "Crate, crushed",
    "bent-deck": "Mower deck, bent",
    "cracked-hood": "Engine cowl, cracked",
    "receipt-signed": "Signed delivery receipt",
}
LISTED = Exhibit(
    number=5,
    kind="Copy",
    title="Bill of lading",
    day="March 12, 2026, 2:05 PM",
    by="Abel Quist",
    sha256=hashlib.sha256(b"bill").hexdigest(),
    pages=1,
    source=(),
    neutral_line="Bill of lading: copy; the original is held by the carrier",
    file="005-bill.pdf",
    size="PDF document, 81,220 bytes",
)


@cache
def _drawn(kind):
    taken = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)
    return draw(kind, seed=4, taken=taken, words=WORDS, size=(800, 600))


def write_pictures(folder):
    """Write the pictures under ``folder`` as renditions are kept; return exhibits."""
    found = []
    for number, (kind, caption) in enumerate(DRAWN, start=1):
        data = _plain(_drawn(kind))
        name = hashlib.sha256(data).hexdigest()
        path = f"{name[:2]}/{name}-1600.jpg"
        (folder / name[:2]).mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)
        sha256 = hashlib.sha256(_drawn(kind)).hexdigest()
        found.append(
            Exhibit(
                number=number,
                kind="Photo",
                title=TITLES[kind],
                day="March 10, 2026, 10:41 AM",
                by="Rosa Tellow",
                sha256=sha256,
                pages=1,
                source=(Picture(name, path, 800, 600),),
                file=f"{number:03d}-{sha256}.jpg",
                name="IMG_1.jpg",
                size="800 x 600, JPEG photo, 2,914,221 bytes",
                caption=caption,
                facts=(Row("Camera's time", "March 10, 2026, 10:30 AM"),),
                faces=("side-2", "top") if number == 1 else (),
            )
        )
    return tuple(found)


@cache
def _plain(data):
    out = BytesIO()
    Image.open(BytesIO(data)).save(out, "JPEG", quality=82)
    return out.getvalue()


def sample_packet(folder, **over):
    """Return the content of a claim file, its pictures written under ``folder``."""
    values = {
        "title": "Claim QN-2026-0007",
        "version": "1",
        "as_of": "March 17, 2026",
        "made_on": "2026-03-17",
        "paper": "letter",
        "edition": "claim",
        "cover": _cover(),
        "statement": _statement(),
        "schedule": _schedule(),
        "receipts": (
            ReceiptEntry(
                delivery="March 10, 2026, Gannet Overland, 2 pieces counted",
                words=WORDS,
                written_on="Both copies",
                how_signed="Signed with our exceptions",
                driver="Lou Garrity",
                exhibits=(4,),
            ),
        ),
        "findings": _findings(),
        "custody": (
            CustodyEntry(
                crate="Crate 1 (QB-0417)",
                delivered="March 10, 2026, 10:20 AM",
                opened="March 11, 2026, 9:05 AM",
                unopened="The crate was not opened between delivery and this opening.",
                kept_at="Bay 2, indoors",
                moves="Rosa Tellow, once, with the forklift",
                at_delivery=(1, 4),
                at_opening=(2, 3),
            ),
        ),
        "exhibits": (*write_pictures(folder), LISTED),
        "neutral_lines": (
            "Original freight bill not held; indemnity agreement enclosed",
        ),
        "tree": EventTree("412", hashlib.sha256(b"root").hexdigest()),
    }
    return PacketContent(**{**values, **over})


def replace(content, **statement):
    """Return the content with parts of its statement replaced."""
    return dataclasses.replace(
        content, statement=dataclasses.replace(content.statement, **statement)
    )


def _cover():
    return CoverLetter(
        date="March 17, 2026",
        addressee=CARRIER,
        references=(
            Row("Claim for damage", "USD 1,264.20"),
            Row("Our claim", "QN-2026-0007"),
            Row("Freight bill (PRO)", "410-220871"),
            Row("Your claim number", "Not yet assigned"),
            Row("Bill of lading", "CBM-77120, March 6, 2026"),
            Row("Delivered", "March 10, 2026"),
        ),
        opening=("On March 10, 2026, Gannet Overland delivered 2 crates to our dock.",),
        demand="Gannet Overland is liable for this damage. We claim payment of USD 1,264.20.",
        closing=("Please send us your acknowledgment.",),
        pay_to=("Quillback Northgate", "Attn: Abel Quist, Accounting"),
        enclosed=("Claim statement and schedule", "Exhibits 1 to 5"),
    )


CARRIER = Party(
    "Gannet Overland", ("Cargo Claims", "1500 Relay Street", "Dunmarrow, NE 68999")
)
ROWS = (
    AmountRow("1", "Deck shell, 52 in, CB-5210", "1", "642.50", "642.50"),
    AmountRow("1", "Anti-scalp wheel, CB-1188", "1", "23.40", "23.40"),
    AmountRow("1", "Labor", "2 h 30 min", "118.00", "295.00"),
    AmountRow("2", "Engine cowl, CB-3107", "1", "214.80", "214.80"),
    AmountRow("2", "Labor", "0 h 45 min", "118.00", "88.50"),
)
CLOSING = (
    Step("All lines", "1,264.20"),
    Step("Sums recovered: none", "0.00"),
    Step("Amount claimed", "1,264.20", is_total=True),
)


def _statement():
    return ClaimStatement(
        claim_number="QN-2026-0007",
        kind="Damage",
        supplement="",
        carrier=CARRIER,
        claimant=Party(
            "Quillback Northgate", ("880 Granary Road", "East Tallow, IA 52999")
        ),
        assertion=(
            "Gannet Overland received the goods described here for carriage and "
            "delivered them damaged. Gannet Overland is liable for the loss."
        ),
        extent="Partial loss",
        amount="1,264.20",
        currency="USD",
        shipment=ShipmentFacts(
            carrier="Gannet Overland",
            scac="GNVR",
            pro="410-220871",
            bol="CBM-77120, March 6, 2026",
            shipper="Cinderbrook Mowers, Old Marl, WI",
            consignee="Quillback Northgate",
            origin="Old Marl, WI",
            trailer="GN53118, seal 5519023",
            delivered=("March 10, 2026, 10:20 AM",),
            driver="Lou Garrity",
            pieces="2 crates, 1,240 lb",
            freight_class="92.5",
            freight="Collect, USD 318.40",
            carrier_claim_number="",
        ),
        articles=(
            ArticleFacts(
                model="Cinderbrook ZT 52",
                serial="CB52A01874",
                condition="New",
                packing="In a closed crate",
                crate="1 of 2, mark QB-0417",
                weight="655 lb",
                crate_damage="Crate, crushed: corner post split",
                damage="Mower deck, bent; Engine cowl, cracked",
                found="March 11, 2026",
                seen_at_delivery="No: inside a closed crate",
            ),
        ),
        notice=NoticeFacts(
            exceptions="March 10, 2026, both copies (Exhibit 4)",
            notices=("March 11, 2026: notice of concealed damage",),
            inspection="Waived in writing by Gannet Overland, March 13, 2026",
            where="880 Granary Road, business days 7:00 AM to 4:00 PM, 515 555 0120",
            salvage="Quillback Northgate holds the mower. Nothing has been sold.",
            repair="Not begun. Packaging is held.",
            recovered="None",
        ),
        rows=ROWS,
        closing=CLOSING,
        no_other_claim="No other claim for this loss has been filed.",
        certificate="I certify that this statement is correct.",
        signer=Signer("Mina Osterby", "Manager", "515 555 0120"),
    )


def _schedule():
    return Schedule(
        basis="Invoice value. The supplier's invoice, net of discounts, shows the value.",
        lines=(
            Line(
                "1",
                "Cinderbrook ZT 52. Mower deck: bent, repair",
                "Repair",
                ROWS[:3],
                (Step("Claimed on this line", "960.90", is_total=True),),
                "960.90",
            ),
            Line(
                "2",
                "Cinderbrook ZT 52. Engine cowl: cracked, repair",
                "Repair",
                ROWS[3:],
                (Step("Claimed on this line", "303.30", is_total=True),),
                "303.30",
            ),
        ),
        worksheet=CLOSING,
    )


def _findings():
    common = {"found": "March 11, 2026, by Tomas Brinn", "stage": "At uncrating"}
    machine = "Cinderbrook ZT 52, serial CB52A01874"
    hidden = "No: inside a closed crate"
    return (
        FindingEntry(
            number="1",
            title="Crate, crushed",
            subject="Crate 1 (QB-0417)",
            severity="severe",
            facts="Corner post split, slats in.",
            seen_at_delivery="Yes",
            faces=("side-2", "top"),
            exhibits=(1,),
            **common,
        ),
        FindingEntry(
            number="2",
            title="Mower deck, bent",
            subject=machine,
            severity="severe",
            facts="Deck shell bent 3/4 in at the left trim side.",
            seen_at_delivery=hidden,
            faces=(),
            exhibits=(2,),
            **common,
        ),
        FindingEntry(
            number="3",
            title="Engine cowl, cracked",
            subject=machine,
            severity="moderate",
            facts="Cowl cracked from the edge to the latch, 7 in long.",
            seen_at_delivery=hidden,
            faces=(),
            exhibits=(3,),
            **common,
        ),
    )

"""A claim with everything on record that an answer to the carrier may quote."""

from dataclasses import replace
from datetime import date

from claims.rules.letters.claim_letter import LetterFacts, LetterLine
from claims.rules.letters.overlap import OverlapAnswer, OverlapFacts
from claims.rules.letters.record_facts import (
    Custody,
    Filed,
    Found,
    Noticed,
    Receipt,
    RecordFacts,
)
from claims.rules.packet.content import Party

DELIVERED = date(2026, 3, 10)
OPENED = date(2026, 3, 16)
TODAY = date(2026, 5, 4)
ANSWER_BY = date(2026, 6, 3)

KINDS = (
    *("bill-of-lading", "freight-bill", "freight-paid", "load", "look", "receipt"),
    *("carrier-image", "opening", "blocking", "damage", "inspection-report"),
    *("inspection-waiver", "origin-condition"),
)

RECEIPT = Receipt(
    on=DELIVERED,
    words="Crate 1: corner post split.",
    ending="signed",
    copies="both",
    driver="Sam Poole",
    pod="matches",
    counted=4,
    trailer="5312",
    seal="88120",
    seal_condition="broken",
    unloaded_by="driver",
    unloaded_with="forklift",
    on_trailer=True,
)

RECORD = RecordFacts(
    files=tuple(
        Filed(kind, DELIVERED, number) for number, kind in enumerate(KINDS, start=1)
    ),
    receipts=(RECEIPT,),
    findings=(
        Found(
            "crate, crushed",
            "Corner post split at side 1.",
            DELIVERED,
            "crushed",
            (5,),
            is_on_crate=True,
            at_delivery=True,
        ),
        Found(
            "tilt indicator, indicator tripped",
            "Window red.",
            DELIVERED,
            "indicator",
            (),
            is_on_crate=True,
            at_delivery=True,
        ),
        Found(
            "deck shell, bent",
            "Shell bent 12 mm at the left mount.",
            OPENED,
            "bent",
            (10,),
            is_inside=True,
        ),
    ),
    notices=(
        Noticed(
            "concealed",
            date(2026, 3, 17),
            "email",
            date(2026, 3, 18),
            "Reply of L. Parr",
            in_time=True,
        ),
        Noticed("protest", date(2026, 3, 12), "post"),
    ),
    custody=(
        Custody("Crate 1 (HT-001)", OPENED, "Bay 2, indoors", "Rosa Tellow, forklift"),
    ),
    inspections=(("inspected", date(2026, 3, 20)), ("waived", date(2026, 3, 23))),
    asked_on=(date(2026, 3, 19),),
    inspect_at="Bay 4, weekdays 8 to 4",
    is_held=True,
    unmarked=3,
    new_machines=("TX 48 tiller, serial 10021",),
    pieces=4,
    piece_unit="crate",
    filed_in_time=True,
    freight_payer="prepaid",
    released_cents_per_lb=250,
    limit_cents=203_000,
    weights=("TX 48 tiller, 812 lb",),
    salvage="Riverside holds the deck shell",
    salvage_cents=5_000,
    parts_kept=("T-0007, deck shell",),
    refused=("Crate 4 (HT-004)",),
)

LINES = (
    LetterLine(1, "Deck shell: bent", "10021", 64_250),
    LetterLine(2, "Engine cowl: cracked", "10021", 32_000),
)

FACTS = LetterFacts(
    today=TODAY,
    regime="us-motor",
    currency="USD",
    claim_number="RIV-2026-0003",
    claimant="us",
    pro="PRO000123",
    sender=Party("Riverside", ("1 Mill Road", "Riverside, IA 52327")),
    carrier=Party(
        "Plainsway Freight", ("Cargo Claims", "Dock 4", "Marble Fork, MO 63999")
    ),
    signer="Ida Blom",
    signer_title="Claims manager",
    carrier_claim_number="PW-2291",
    bol="BOL-7781",
    bol_on=date(2026, 3, 3),
    delivered_on=DELIVERED,
    claimed_cents=96_250,
    lines=LINES,
    sent_on=date(2026, 3, 24),
    sent_how="email",
    received_on=date(2026, 3, 25),
    received_words="Signed by M. Dorn",
    acknowledged_on=date(2026, 4, 2),
    offered_on=date(2026, 4, 20),
    offered_cents=30_000,
    disallowed_on=date(2026, 4, 27),
    pay_to="Riverside Payables\nPO Box 9, Riverside, IA 52327",
    record=RECORD,
    overlap=OverlapFacts("USD", OverlapAnswer(), loss_cents=96_250),
)


def with_record(**over):
    """Return the facts with other facts of the record."""
    return replace(FACTS, record=replace(RECORD, **over))


def without_files(*kinds):
    """Return the facts without the files of these kinds."""
    return with_record(
        files=tuple(row for row in RECORD.files if row.kind not in kinds)
    )


def with_receipt(**over):
    """Return the facts with another receipt."""
    return with_record(receipts=(replace(RECEIPT, **over),))

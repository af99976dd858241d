"""When a letter that ends, moves or certifies may be written, and what it says."""

from dataclasses import replace
from datetime import timedelta

import pytest

from claims.rules.letters.claim_letter import LetterLine
from claims.rules.letters.endings import KINDS_OF_ENDINGS
from claims.rules.letters.goods import PiecesCounted
from claims.rules.letters.salvage import credit_of
from tests.claims.rules.letters.ending_claims import (
    ENDINGS,
    choices_of,
    claim_of,
    without,
)

KINDS = {kind.key: kind for kind in KINDS_OF_ENDINGS}
FACTS = claim_of(1)
TODAY = FACTS.today
PIECES = FACTS.goods.pieces
SHORT = tuple(line for line in FACTS.lines if line.outcome == "short")
HERE = tuple(line for line in FACTS.lines if line.outcome != "short")


def written(key, facts=FACTS, **over):
    choices = choices_of(key, facts)
    if over:
        choices = replace(choices, **over)
    return KINDS[key].write(facts, choices)


def test_every_kind_can_be_written_on_a_full_record():
    assert tuple(KINDS) == ENDINGS
    for key, kind in KINDS.items():
        assert kind.against(FACTS) == (), key
        assert kind.against_choices(FACTS, choices_of(key, FACTS)) == (), key


REFUSED = [
    ("withdrawal", {"sent_on": None}, "was never sent"),
    ("withdrawal", {"is_over": True}, "settled or withdrawn"),
    ("withdrawal", {"lines": ()}, "has no lines"),
    ("hand-over", {"supplier": None}, "has no supplier"),
    ("hand-over", {"claimant": "us"}, "the claim is ours"),
    ("hand-over", {"claim_file": ""}, "Make the claim file first"),
    ("hand-over", {"is_over": True}, "settled or withdrawn"),
    ("assignment", {"supplier": None}, "has no supplier"),
    ("assignment", {"lines": ()}, "has no lines"),
    ("authority", {"supplier": None}, "has no supplier"),
    ("authority", {"is_over": True}, "settled or withdrawn"),
    ("salvage-offer", {"lines": SHORT}, "no goods to sell"),
    ("salvage-offer", {"is_over": True}, "settled or withdrawn"),
    ("salvage-account", {"lines": SHORT}, "no goods to sell"),
    ("salvage-account", {"sent_on": None}, "Enter the salvage on its lines"),
    ("non-receipt", {"lines": HERE}, "No line of the claim is a shortage"),
    ("non-receipt", {"is_over": True}, "settled or withdrawn"),
]


@pytest.mark.parametrize(("key", "over", "words"), REFUSED)
def test_a_letter_that_the_record_does_not_support_is_refused(key, over, words):
    assert words in " ".join(KINDS[key].against(replace(FACTS, **over)))


@pytest.mark.parametrize(
    ("over", "words"),
    [
        ({"pieces": None}, "Complete the count first"),
        ({"pieces": replace(PIECES, state="unknown")}, "Complete the count first"),
        ({"pieces": replace(PIECES, state="part")}, "left pieces to follow"),
        (
            {"pieces": replace(PIECES, state="agrees", counted=PIECES.billed)},
            "Every package billed has arrived",
        ),
        ({"pieces": replace(PIECES, state="over")}, "Every package billed has arrived"),
        (
            {"turned_up": ("Crate 2 was over on freight bill Z1.",)},
            "over on freight bill",
        ),
    ],
)
def test_nothing_but_a_whole_missing_package_is_certified(over, words):
    """49 CFR 370.7(c): "an entire package or an entire shipment" (from memory)."""
    assert words in " ".join(KINDS["non-receipt"].against(without(FACTS, **over)))


def test_a_package_that_a_truck_brought_meanwhile_is_no_longer_certified():
    later = PiecesCounted("agrees", PIECES.billed, PIECES.billed, "skid", TODAY)

    assert KINDS["non-receipt"].against(FACTS) == ()
    assert KINDS["non-receipt"].against(without(FACTS, pieces=later))


def test_only_the_pieces_that_are_short_are_certified():
    facts = without(FACTS, pieces=PiecesCounted("short", 4, 5, "skid", TODAY))

    body = written("non-receipt", facts).body

    assert "Billed under this freight bill: 5 skids. Received: 4 skids" in body
    assert "I certify that 1 skid was not received" in body
    assert SHORT[0].serial in body
    assert not any(line.serial in body for line in HERE)


@pytest.mark.parametrize(
    ("key", "over", "words"),
    [
        ("salvage-offer", {"answer_by": TODAY}, "must be after today"),
        ("salvage-offer", {"lines": ()}, "at least one line"),
        ("salvage-offer", {"lines": (SHORT[0].number,)}, "at least one line"),
        ("salvage-account", {"lines": (99,)}, "at least one line"),
        ("salvage-account", {"sold_on": TODAY + timedelta(days=1)}, "in the future"),
        (
            "salvage-account",
            {"sold_on": FACTS.delivered_on - timedelta(days=1)},
            "before the goods were delivered",
        ),
        (
            "salvage-account",
            {"sold_on": FACTS.goods.offered.answer_by},
            "Enter what it answered",
        ),
        ("salvage-account", {"cost_cents": 100, "cost_for": " "}, "Say what the cost"),
    ],
)
def test_choices_that_do_not_fit_are_refused(key, over, words):
    choices = replace(choices_of(key, FACTS), **over)

    assert words in " ".join(KINDS[key].against_choices(FACTS, choices))


def test_goods_may_go_before_the_last_day_once_the_carrier_has_answered():
    early = replace(
        choices_of("salvage-account", FACTS),
        sold_on=FACTS.goods.offered.answer_by,
        answer="Sell them",
    )

    assert KINDS["salvage-account"].against_choices(FACTS, early) == ()
    assert (
        "Your answer: Sell them." in KINDS["salvage-account"].write(FACTS, early).body
    )


@pytest.mark.parametrize(
    ("sale", "deducted", "ends"),
    [
        ((50_000, 0), 0, (50_000, 50_000)),
        ((50_000, 8_000), 0, (42_000, 58_000)),
        ((50_000, 8_000), 30_000, (12_000, 88_000)),
        ((50_000, 8_000), 42_000, (0, 100_000)),
        ((20_000, 0), 30_000, (0, 100_000)),
        ((5_000, 8_000), 0, (0, 100_000)),
        ((150_000, 0), 0, (100_000, 0)),
    ],
)
def test_the_credit_is_what_the_sale_brought_and_the_claim_did_not_deduct(
    sale, deducted, ends
):
    line = LetterLine(1, "Hood", "Z1", 100_000, outcome="total", salvage_cents=deducted)
    facts = replace(FACTS, lines=(line,), claimed_cents=100_000)
    choices = replace(
        choices_of("salvage-account", facts), proceeds_cents=sale[0], cost_cents=sale[1]
    )

    worked = credit_of(facts, choices)

    assert (worked.credit_cents, worked.after_cents) == ends
    said = KINDS["salvage-account"].write(facts, choices).body
    assert ("stays at USD 1,000.00" in said) is (ends[0] == 0)


def test_the_credit_is_never_more_than_the_lines_of_the_goods_ask_for():
    lines = (
        LetterLine(1, "Hood", "Z1", 30_000, outcome="total"),
        LetterLine(2, "Deck", "Z2", 70_000, outcome="total"),
    )
    facts = replace(FACTS, lines=lines, claimed_cents=100_000)
    choices = replace(
        choices_of("salvage-account", facts), lines=(1,), proceeds_cents=50_000
    )

    assert credit_of(facts, replace(choices, cost_cents=0)).credit_cents == 30_000


def test_a_withdrawal_names_its_lines_and_keeps_every_other_loss():
    body = written("withdrawal").body

    for line in FACTS.lines:
        assert line.serial in body
    assert "without prejudice to a later claim for any other loss" in body
    assert "The reason: The goods were repaired under warranty." in body
    assert "confirm the withdrawal in writing" in body
    assert "reason" not in written("withdrawal", reason=" ").body


def test_a_claim_paid_in_part_says_what_it_still_asks_for():
    less = replace(FACTS, claimed_cents=FACTS.claimed_cents - 100)

    assert "Amount of the claim" in written("withdrawal", less).body
    assert "Amount of the claim" not in written("withdrawal").body


@pytest.mark.parametrize("key", ["assignment", "authority"])
def test_the_suppliers_own_papers_speak_of_it_and_of_no_price(key):
    letter = written(key)

    assert KINDS[key].is_theirs
    assert letter.body.startswith("Harrow & Tine Works a")
    assert "Quillback Northgate" in letter.body
    assert "the order, its delivery terms, its price and its warranties" in letter.body
    assert "USD" not in letter.body
    assert "risk" not in letter.body


def test_a_hand_over_warns_of_a_claim_that_we_sent_ourselves():
    sent = written("hand-over").body
    never = written("hand-over", replace(FACTS, sent_on=None)).body

    assert "49 CFR 370.3(e)" in sent
    assert "We have filed no claim of our own" in never
    assert "370.3(e)" not in never
    assert KINDS["hand-over"].encloses_claim


def test_the_offer_keeps_the_goods_until_the_answer():
    body = written("salvage-offer").body

    assert "Until you answer we keep the goods and their packaging as they are." in body
    assert "They are here: Bay 4, weekdays 8 to 4." in body
    assert SHORT[0].serial not in body


@pytest.mark.parametrize("key", ["withdrawal", "assignment", "non-receipt"])
def test_goods_without_serials_have_no_column_of_them(key):
    bare = tuple(replace(line, serial="") for line in FACTS.lines)

    assert "| Line | Serial | What" in written(key).body
    assert "| Line | What" in written(key, replace(FACTS, lines=bare)).body

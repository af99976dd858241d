"""What stops a claim file, what only warns, and its own sentences (49 CFR 370.3(b))."""

import dataclasses

import pytest

from claims.rules.packet.neutral_lines import KINDS, LINES, PAPERS, neutral_line
from claims.rules.packet.readiness import ReadyFacts, what_blocks, what_warns
from claims.rules.packet.wording import (
    BOTH,
    DAMAGE,
    SHORTAGE,
    LossFacts,
    closing,
    demand,
    hand_over,
    liability,
    listed,
    opening,
)
from claims.rules.packet.working import OURS

READY = ReadyFacts(
    claimant="Riverside",
    claimant_lines=("1200 Levee Road",),
    pro="PRO000123",
    bol="BOL-7781",
    assertion="Plainsway Freight is liable.",
    amount_cents=1,
    certified_alone=True,
    extent_known=True,
    signer_title="Manager",
    signer_phone="319 555 0144",
    freight_class="92.5",
)
LOSS = LossFacts(
    carrier="Plainsway Freight",
    claimant="Riverside",
    supplier="Harrow & Tine",
    kind=DAMAGE,
    pro="440917",
    bol="BOL-7781",
    amount="USD 497.50",
    delivered="March 10, 2026",
    pieces="4 crates",
    place="Riverside",
    articles=("TX 48 tiller, serial TX48-00017",),
    damages=("Deck shell, cracked: 12 cm.",),
    receipt="Your driver signed the delivery receipt with our exceptions.",
    inspect_at="1200 Levee Road",
)


def test_a_whole_one_is_neither_stopped_nor_warned_of():
    assert what_blocks(READY) == ()
    assert what_warns(READY) == ()


# The minimum of a claim is 49 CFR 370.3(b): the shipment, liability, an amount (text
# seen). That the claimant must be one who can be answered: common practice, no source.
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"claimant": ""}, "claimant"),
        ({"claimant_lines": ("",)}, "claimant"),
        ({"pro": "", "bol": ""}, "identifies the shipment"),
        ({"assertion": " "}, "liable"),
        ({"amount_cents": 0}, "amount above zero"),
    ],
)
def test_only_the_four_stop_it(change, said):
    (reason,) = what_blocks(dataclasses.replace(READY, **change))
    assert said in reason


@pytest.mark.parametrize("change", [{"pro": ""}, {"bol": ""}])
def test_one_number_identifies_the_shipment(change):
    assert what_blocks(dataclasses.replace(READY, **change)) == ()


@pytest.mark.parametrize(
    "change",
    [
        {"missing_papers": ("Bill of lading",)},
        {"certified_alone": False},
        {"extent_known": False},
        {"signer_phone": ""},
        {"condition_known": False},
        {"freight_class": ""},
        {"custody_open": True},
        {"repair_known": False},
    ],
)
def test_whatever_else_is_missing_warns_once_and_stops_nothing(change):
    lacking = dataclasses.replace(READY, **change)
    assert what_blocks(lacking) == ()
    assert len(what_warns(lacking)) == 1


def test_a_hand_over_needs_the_shipment_alone():
    given = dataclasses.replace(
        READY, claimant_is_supplier=True, claimant_lines=(), amount_cents=0
    )
    assert what_blocks(given) == ()
    assert len(what_blocks(dataclasses.replace(given, pro="", bol=""))) == 1


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (DAMAGE, "delivered them damaged"),
        (SHORTAGE, "did not deliver all of them"),
        (BOTH, "delivered them damaged and short"),
    ],
)
def test_liability_is_asserted_for_each_kind(kind, words):
    facts = dataclasses.replace(LOSS, kind=kind)
    assert words in liability(facts)
    assert "Plainsway Freight is liable" in liability(facts)


def test_without_a_carrier_nobody_is_held_liable():
    assert liability(dataclasses.replace(LOSS, carrier=" ")) == ""


def test_the_demand_names_carrier_and_amount_in_one_line():
    assert demand(LOSS) == (
        "Plainsway Freight is liable for this damage. We claim payment of USD 497.50."
    )
    assert "more or less" not in demand(LOSS)


def test_the_letter_tells_what_happened():
    (told,) = opening(LOSS)
    for fact in ("March 10, 2026", "4 crates", "freight bill 440917", "TX48-00017"):
        assert fact in told
    assert "billed as 4 crates" in told  # never that as many were delivered
    (by_bill,) = opening(dataclasses.replace(LOSS, pro=""))
    assert "bill of lading BOL-7781" in by_bill


# 30 days: 49 CFR 370.5(a); 120 days: 49 CFR 370.9(a). Numbers seen in a secondary source.
def test_the_letter_asks_for_what_the_rules_give():
    asked = " ".join(closing(LOSS, exhibits=11))
    for said in ("within 30 days", "120 days", "Exhibits 1 to 11", "1200 Levee Road"):
        assert said in asked
    assert "Exhibit 1 follows" in " ".join(closing(LOSS, exhibits=1))
    short = dataclasses.replace(LOSS, kind=SHORTAGE)
    assert "You may inspect" not in " ".join(closing(short, exhibits=1))
    assert "xhibit" not in " ".join(closing(LOSS, exhibits=0))


def test_the_hand_over_demands_nothing():
    told = " ".join(hand_over(LOSS))
    assert "yours to file" in told
    assert "We claim payment" not in told


def test_no_sentence_of_ours_is_of_the_working_file():
    said = [liability(LOSS), demand(LOSS), *opening(LOSS), *closing(LOSS, exhibits=3)]
    said += [*hand_over(LOSS), *(neutral_line(p, k) for p in PAPERS for k in LINES)]
    for sentence in said:
        assert [words for words in OURS if words in sentence.casefold()] == []


def test_a_neutral_line_is_a_whole_sentence_of_a_known_document():
    assert neutral_line("bill-of-lading", "indemnity") == (
        "Original bill of lading not held; indemnity agreement enclosed"
    )
    assert neutral_line("nothing", "copy") == ""
    assert neutral_line("receipt", "nothing") == ""
    assert set(KINDS.values()) == set(PAPERS)


@pytest.mark.parametrize(
    ("words", "said"),
    [((), ""), (("a",), "a"), (("a", "b"), "a and b"), (("a", "b", "c"), "a, b and c")],
)
def test_a_list_reads_as_a_list(words, said):
    assert listed(words) == said

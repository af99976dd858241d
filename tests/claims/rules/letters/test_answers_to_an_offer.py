"""The counter-offer and the acceptance: amounts that tie, and what is refused."""

import random
from dataclasses import replace
from datetime import date

import pytest

from claims.rules.letters.acceptance import ACCEPTANCE, AcceptanceChoices, Accepted
from claims.rules.letters.answers import KINDS_OF_ANSWERS
from claims.rules.letters.claim_letter import LetterLine
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.counter_offer import COUNTER_OFFER, CounterChoices, Proposed
from claims.rules.letters.tables import read_table, spelled_out, table_text
from claims.rules.packet.working import OURS
from inventory.rules.reckoning.money import parse_amount
from tests.claims.rules.letters.answering import ANSWER_BY, FACTS, TODAY

BY_LINE = CounterChoices(
    (Proposed(1, 60_000, "The shell cannot be straightened"), Proposed(2, 20_000)),
    0,
    "The offer leaves out labor",
    ANSWER_BY,
)
IN_ONE = CounterChoices((), 80_000, "The offer leaves out labor", ANSWER_BY)
ACCEPTED = AcceptanceChoices((Accepted(1, 30_000),), ANSWER_BY)


def tables(letter):
    return [t for part in letter.body.split("\n\n") if (t := read_table(part))]


def cents(text):
    return parse_amount(text.replace("-", ""), "USD") * (-1 if "-" in text else 1)


def test_the_letters_are_in_the_registry():
    assert [KINDS[kind.key] for kind in KINDS_OF_ANSWERS] == list(KINDS_OF_ANSWERS)


class TestCounterOffer:
    def test_the_worksheet_has_each_line_the_offer_and_the_proposal(self):
        (sheet,) = tables(COUNTER_OFFER.write(FACTS, BY_LINE))
        assert sheet.heads == (
            "Line",
            "What was lost",
            "Our claim",
            "You offered",
            "We propose",
        )
        assert sheet.rows == (
            ("1", "Deck shell: bent, serial 10021", "642.50", "", "600.00"),
            ("2", "Engine cowl: cracked, serial 10021", "320.00", "", "200.00"),
            ("", "In all, USD", "962.50", "300.00", "800.00"),
        )
        assert sheet.sums == {2}

    def test_one_sum_names_no_amount_by_line(self):
        (sheet,) = tables(COUNTER_OFFER.write(FACTS, IN_ONE))
        assert [row[4] for row in sheet.rows] == ["", "", "800.00"]

    def test_it_is_headed_as_a_compromise_and_leaves_the_claim_as_filed(self):
        letter = COUNTER_OFFER.write(FACTS, BY_LINE)
        assert letter.subject == (
            "Claim RIV-2026-0003: offer of compromise, for settlement only"
        )
        for words in (
            "your offer of April 20, 2026",
            "we propose USD 800.00",
            "our claim stands as filed, in the full amount of USD 962.50",
            "all our rights are reserved",
            "answer in writing by June 3, 2026",
            "The offer leaves out labor.",
            "Line 1: The shell cannot be straightened.",
        ):
            assert letter.body.count(words) == 1, words

    def test_it_asks_for_no_interest_and_no_fees_of_lawyers(self):
        said = COUNTER_OFFER.write(FACTS, BY_LINE).text.casefold()
        for words in ("interest", "attorney", "lawyer", "legal fees", *OURS):
            assert words not in said

    def test_what_was_received_before_is_in_the_worksheet(self):
        lines = (replace(FACTS.lines[0], paid_cents=10_000), FACTS.lines[1])
        facts = replace(FACTS, lines=lines, claimed_cents=86_250)
        (sheet,) = tables(COUNTER_OFFER.write(facts, IN_ONE))
        assert ("", "Received before", "-100.00", "", "") in sheet.rows
        assert sheet.rows[-1][2] == "862.50"

    @pytest.mark.parametrize(
        ("choices", "words"),
        [
            (replace(IN_ONE, sum_cents=96_250), "not below the claim of USD 962.50"),
            (replace(IN_ONE, sum_cents=30_000), "offered USD 300.00"),
            (replace(IN_ONE, why=" "), "Enter why"),
            (replace(IN_ONE, answer_by=TODAY), "not after today"),
            (
                replace(BY_LINE, lines=(Proposed(1, 64_251), Proposed(2, 0))),
                "Line 1 asks for more than is claimed of it. The most is USD 642.50.",
            ),
            (replace(BY_LINE, lines=(Proposed(1, 60_000),)), "have changed"),
        ],
    )
    def test_what_does_not_fit_is_said(self, choices, words):
        assert words in " ".join(COUNTER_OFFER.against_choices(FACTS, choices))

    def test_what_fits_is_not_refused(self):
        for choices in (BY_LINE, IN_ONE, replace(IN_ONE, sum_cents=96_249)):
            assert COUNTER_OFFER.against_choices(FACTS, choices) == ()

    def test_a_reason_at_one_line_is_reason_enough(self):
        assert COUNTER_OFFER.against_choices(FACTS, replace(BY_LINE, why="")) == ()


class TestAcceptance:
    def test_all_that_was_offered_may_be_accepted(self):
        assert ACCEPTANCE.against_choices(FACTS, ACCEPTED) == ()

    def test_the_whole_claim_is_more_than_was_offered_and_not_above_the_claim(self):
        both = AcceptanceChoices((Accepted(1, 64_250), Accepted(2, 32_000)), ANSWER_BY)
        said = " ".join(ACCEPTANCE.against_choices(FACTS, both))
        assert "The carrier offered USD 300.00" in said
        assert "above the claim" not in said

    def test_one_cent_is_an_amount(self):
        cent = AcceptanceChoices((Accepted(1, 1),), ANSWER_BY)
        assert ACCEPTANCE.against_choices(FACTS, cent) == ()

    def test_one_line_paid_leaves_the_other_to_accept(self):
        paid = (replace(FACTS.lines[0], paid_cents=64_250), FACTS.lines[1])
        assert ACCEPTANCE.against(replace(FACTS, lines=paid)) == ()

    def test_it_releases_the_named_line_alone_on_cleared_funds(self):
        letter = ACCEPTANCE.write(FACTS, ACCEPTED)
        (table,) = tables(letter)
        assert table.rows == (
            ("1", "Deck shell: bent", "10021", "300.00"),
            ("", "Amount accepted", "", "USD 300.00"),
        )
        for words in (
            "We accept your offer of April 20, 2026 for the claim line named here, and "
            "for nothing else",
            "Please pay by June 3, 2026 to:",
            "Riverside Payables\nPO Box 9, Riverside, IA 52327",
            "as cleared funds, and not before",
            "Riverside releases Plainsway Freight from the loss in the line named here",
            "Until then the claim stands as filed",
            "Everything else is reserved: line 2 of the claim, any other loss on this "
            "freight bill, damage found later, and overcharges.",
            "We give no indemnity",
            "no other form of release is agreed",
        ):
            assert letter.body.count(words) == 1, words

    def test_all_lines_leave_no_line_to_reserve(self):
        both = AcceptanceChoices((Accepted(1, 20_000), Accepted(2, 10_000)), ANSWER_BY)
        body = ACCEPTANCE.write(FACTS, both).body
        assert "reserved: any other loss on this freight bill" in body
        assert "the lines named here" in body

    @pytest.mark.parametrize(
        ("lines", "words"),
        [
            ((), "at least one line"),
            (((1, 64_251),), "Line 1 is above the claim. The most is USD 642.50."),
            (((2, 30_001),), "The carrier offered USD 300.00"),
            (((9, 100),), "Line 9 is not on the claim any more"),
            (((1, 0),), "Line 1 has no amount"),
            (((1, 100), (1, 100)), "named twice"),
        ],
    )
    def test_what_does_not_fit_is_said(self, lines, words):
        choices = AcceptanceChoices(tuple(Accepted(*one) for one in lines), ANSWER_BY)
        assert words in " ".join(ACCEPTANCE.against_choices(FACTS, choices))

    def test_more_than_the_claim_is_refused_whatever_was_offered(self):
        facts = replace(FACTS, offered_cents=200_000, claimed_cents=90_000)
        both = AcceptanceChoices((Accepted(1, 64_250), Accepted(2, 32_000)), ANSWER_BY)
        said = " ".join(ACCEPTANCE.against_choices(facts, both))
        assert "above the claim. The most is USD 900.00" in said

    def test_a_line_that_was_paid_is_refused(self):
        paid = (replace(FACTS.lines[0], paid_cents=64_250), FACTS.lines[1])
        facts = replace(FACTS, lines=paid, claimed_cents=32_000)
        said = " ".join(ACCEPTANCE.against_choices(facts, ACCEPTED))
        assert "Line 1 was already paid" in said
        none = replace(facts, lines=paid[:1])
        assert "Every line of the claim was already paid" in " ".join(
            ACCEPTANCE.against(none)
        )

    def test_a_line_paid_in_part_is_accepted_up_to_the_rest(self):
        part = (replace(FACTS.lines[0], paid_cents=50_000), FACTS.lines[1])
        facts = replace(FACTS, lines=part, claimed_cents=46_250)
        over = AcceptanceChoices((Accepted(1, 14_251),), ANSWER_BY)
        assert "The most is USD 142.50" in " ".join(
            ACCEPTANCE.against_choices(facts, over)
        )
        rest = AcceptanceChoices((Accepted(1, 14_250),), ANSWER_BY)
        assert ACCEPTANCE.against_choices(facts, rest) == ()

    def test_no_word_of_the_working_file_is_in_it(self):
        said = ACCEPTANCE.write(FACTS, ACCEPTED).text.casefold()
        assert [words for words in OURS if words in said] == []


@pytest.mark.parametrize("kind", [COUNTER_OFFER, ACCEPTANCE], ids=lambda kind: kind.key)
@pytest.mark.parametrize(
    ("over", "words"),
    [
        ({"offered_on": None}, "No offer of the carrier is recorded"),
        ({"offered_cents": None}, "No offer of the carrier is recorded"),
        ({"claimant": "supplier"}, "the supplier's to file"),
        ({"is_over": True}, "settled or withdrawn"),
        ({"is_broker": True}, "broker"),
        ({"claimed_cents": 0}, "no amount"),
    ],
)
def test_what_is_not_possible_is_said(kind, over, words):
    assert kind.against(FACTS) == ()
    assert words in " ".join(kind.against(replace(FACTS, **over)))


def test_every_amount_ties_over_many_claims():
    """Lines, what was received, demand, worksheet and letter are one sum."""
    chance = random.Random(13)
    for _ in range(200):
        facts = some_facts(chance)
        rows = [line.amount_cents - line.paid_cents for line in facts.lines]
        asked = [chance.randint(0, most) for most in rows]
        proposed = tuple(
            Proposed(line.number, one)
            for line, one in zip(facts.lines, asked, strict=True)
        )
        choices = CounterChoices(proposed, 0, "Because.", ANSWER_BY)
        total = sum(asked)
        fits = facts.offered_cents < total < facts.claimed_cents
        assert (COUNTER_OFFER.against_choices(facts, choices) == ()) == fits
        (sheet,) = tables(COUNTER_OFFER.write(facts, choices))
        *body, last = sheet.rows
        assert sum(cents(row[2]) for row in body) == cents(last[2])
        assert cents(last[2]) == facts.claimed_cents
        assert sum(cents(row[4]) for row in body if row[4]) == cents(last[4]) == total
        assert cents(last[3]) == facts.offered_cents
        accepted = AcceptanceChoices(
            tuple(
                Accepted(line.number, one)
                for line, one in zip(facts.lines, asked, strict=True)
                if one
            ),
            ANSWER_BY,
        )
        may = 0 < total <= min(facts.offered_cents, facts.claimed_cents)
        assert (ACCEPTANCE.against_choices(facts, accepted) == ()) == may
        if accepted.lines:
            (table,) = tables(ACCEPTANCE.write(facts, accepted))
            *body, last = table.rows
            assert sum(cents(row[3]) for row in body) == cents(last[3]) == total


def some_facts(chance):
    lines = []
    for number in range(1, chance.randint(2, 6)):
        cost = chance.randint(1, 900_000)
        paid = chance.choice([0, 0, 0, cost, cost // 3])
        lines.append(
            LetterLine(number, "Part: bent", f"S{number}", cost, paid_cents=paid)
        )
    claimed = sum(line.amount_cents - line.paid_cents for line in lines)
    return replace(
        FACTS,
        lines=tuple(lines),
        claimed_cents=claimed,
        offered_cents=chance.randint(0, max(claimed, 1)),
        overlap=replace(FACTS.overlap, loss_cents=claimed),
    )


def test_a_serial_is_named_once_in_the_worksheet():
    named = replace(FACTS.lines[0], label="Deck shell of 10021")
    plain = replace(FACTS.lines[1], serial="")
    facts = replace(FACTS, lines=(named, plain))
    (sheet,) = tables(COUNTER_OFFER.write(facts, IN_ONE))
    assert [row[1] for row in sheet.rows[:2]] == [
        "Deck shell of 10021",
        "Engine cowl: cracked",
    ]


class TestTables:
    def test_a_mail_has_each_row_with_its_heads(self):
        parts = COUNTER_OFFER.write(FACTS, BY_LINE).body.split("\n\n")
        assert spelled_out(parts[1]) == (
            "Line 1\n"
            "  What was lost: Deck shell: bent, serial 10021\n"
            "  Our claim: 642.50\n"
            "  We propose: 600.00\n"
            "Line 2\n"
            "  What was lost: Engine cowl: cracked, serial 10021\n"
            "  Our claim: 320.00\n"
            "  We propose: 200.00\n"
            "In all, USD\n"
            "  Our claim: 962.50\n"
            "  You offered: 300.00\n"
            "  We propose: 800.00"
        )
        assert spelled_out(parts[0]) == parts[0]

    def test_a_sum_of_one_figure_takes_one_line(self):
        heads, rows = ("Line", "What", "Amount"), [("1", "Deck", "5.00")]
        text = table_text(heads, rows, [("", "In all", "USD 5.00")])
        assert spelled_out(text) == (
            "Line 1\n  What: Deck\n  Amount: 5.00\nIn all: USD 5.00"
        )
        two = table_text(("The sale", "Amount"), [("Proceeds", "USD 9.00")])
        assert spelled_out(two) == "Proceeds: USD 9.00"

    def test_a_head_and_one_row_are_a_table(self):
        table = read_table("| A | B\n| 1 | 2")
        assert table.heads == ("A", "B")
        assert table.sums == frozenset()

    def test_one_row_of_another_length_makes_it_text(self):
        assert read_table("| A | B\n| 1 | 2\n| 3") is None

    def test_what_is_written_is_read(self):
        text = table_text(("A", "B"), [("1", "two | three\nlines")], [("", "4")])
        table = read_table(text)
        assert table.heads == ("A", "B")
        assert table.rows == (("1", "two / three lines"), ("", "4"))
        assert table.sums == {1}

    @pytest.mark.parametrize(
        "text", ["", "plain", "| one line", "| A | B\n| 1", "| A\nB", "A\n| B"]
    )
    def test_what_only_looks_like_a_table_is_text(self, text):
        assert read_table(text) is None


def test_a_day_of_any_year_is_said_in_full():
    facts = replace(FACTS, offered_on=date(2025, 12, 31))
    assert "December 31, 2025" in COUNTER_OFFER.write(facts, IN_ONE).body

"""One loss, released once: each reason against, and what the letter says of it."""

from dataclasses import replace
from datetime import date

import pytest

from claims.rules.letters import overlap
from claims.rules.letters.acceptance import ACCEPTANCE, AcceptanceChoices, Accepted
from claims.rules.letters.overlap import (
    AcceptedBefore,
    OtherClaim,
    OverlapAnswer,
    OverlapFacts,
)
from claims.rules.letters.refusal import REFUSAL, RefusalChoices
from tests.claims.rules.letters.answering import ANSWER_BY, FACTS, TODAY

NOBODY = OverlapFacts("USD", OverlapAnswer(), loss_cents=96_250)
PAID = OverlapAnswer("paid", "Harbor Mutual", 40_000)
LINE_1 = AcceptanceChoices((Accepted(1, 30_000),), ANSWER_BY)


def against(**over):
    return " ".join(overlap.against_release(replace(NOBODY, **over)))


class TestRelease:
    def test_answered_and_alone_nothing_stands_against_it(self):
        assert against() == ""

    def test_without_an_answer_it_asks(self):
        assert against(answer=None) == overlap.ASK

    def test_an_insurer_that_was_told_does_not_stop_it(self):
        assert against(answer=OverlapAnswer("told", "Harbor Mutual")) == ""

    def test_an_insurer_that_paid_must_be_named_as_holding_the_right(self):
        said = against(answer=PAID)
        assert said.startswith("Harbor Mutual has paid for this loss and is not named")
        assert "subrogation" in said
        assert "Ask counsel" in said
        assert against(answer=replace(PAID, holds_right=True)) == ""

    @pytest.mark.parametrize(
        ("is_same", "in_hand", "stops"),
        [
            (True, True, True),
            (True, False, False),
            (False, True, False),
            (False, False, False),
        ],
    )
    def test_only_a_claim_in_hand_on_the_same_finding_stops_it(
        self, is_same, in_hand, stops
    ):
        other = OtherClaim("RIV-2026-0009", "Draft", "Deck shell", is_same, in_hand)
        said = against(others=(other,))
        assert bool(said) is stops
        if stops:
            assert said.startswith("RIV-2026-0009 covers the same finding")
            assert "49 CFR 370.3(e)" in said

    def test_a_release_is_refused_by_its_letter_too(self):
        facts = replace(FACTS, overlap=replace(NOBODY, answer=None))
        assert ACCEPTANCE.against(facts) == (overlap.ASK,)


class TestAgain:
    def test_a_line_is_accepted_once(self):
        before = AcceptedBefore(1, 4, date(2026, 4, 21), is_sent=True)
        facts = replace(FACTS, overlap=replace(NOBODY, accepted=(before,)))
        said = " ".join(ACCEPTANCE.against_choices(facts, LINE_1))
        assert said == (
            "Line 1 was already accepted in letter 4 of Tue 21 Apr 2026. It cannot be "
            "accepted twice."
        )
        other = AcceptanceChoices((Accepted(2, 30_000),), ANSWER_BY)
        assert ACCEPTANCE.against_choices(facts, other) == ()

    def test_a_letter_that_did_not_go_out_is_dropped_first(self):
        before = AcceptedBefore(1, 4, date(2026, 4, 21), is_sent=False)
        assert overlap.against_lines(replace(NOBODY, accepted=(before,)), [1]).endswith(
            "Drop that letter first, if it did not go out."
        )

    def test_what_the_supplier_credited_is_not_accepted_again(self):
        # 962.50 less 700.00 credited leaves 262.50 of the loss.
        credited = OverlapAnswer(supplier_cents=70_000)
        facts = replace(FACTS, overlap=replace(NOBODY, answer=credited))
        said = " ".join(ACCEPTANCE.against_choices(facts, LINE_1))
        assert said == (
            "That is more than the loss that is left. USD 700.00 credited by the "
            "supplier came before. The most is USD 262.50."
        )
        fits = AcceptanceChoices((Accepted(1, 26_250),), ANSWER_BY)
        assert ACCEPTANCE.against_choices(facts, fits) == ()

    def test_a_credit_that_the_lines_already_say_counts_once(self):
        # 700.00 credited, of which the lines say 500.00: 200.00 more is gone.
        facts = replace(
            NOBODY, answer=OverlapAnswer(supplier_cents=70_000), recovered_cents=50_000
        )
        assert facts.credited_cents == 20_000
        assert facts.left_cents == 96_250 - 70_000

    def test_what_was_agreed_is_not_agreed_again(self):
        # Of 962.50, 500.00 was agreed and 300.00 of it is paid: 462.50 is open.
        facts = replace(
            NOBODY,
            agreed_cents=50_000,
            agreed_on=date(2026, 5, 1),
            paid_cents=30_000,
        )
        assert overlap.against_agreement(facts, 46_250) == ""
        assert overlap.against_agreement(facts, 46_251) == (
            "USD 500.00 was already agreed on Fri 1 May 2026. With this amount the "
            "carrier would pay for the same loss twice."
        )
        assert overlap.against_agreement(NOBODY, 96_250) == ""


class TestTheReleaseSaysIt:
    def body(self, answer):
        facts = replace(FACTS, overlap=replace(NOBODY, answer=answer))
        return ACCEPTANCE.write(facts, LINE_1).body

    def test_nobody_told_nothing_said(self):
        assert "insures" not in self.body(OverlapAnswer())
        assert "right to recover" not in self.body(OverlapAnswer())

    def test_an_insurer_that_paid_keeps_its_right(self):
        body = self.body(replace(PAID, holds_right=True))
        assert body.count("Harbor Mutual has paid USD 400.00 for this loss") == 1
        assert "Nothing in this letter releases that right." in body

    def test_an_insurer_that_was_told_keeps_its_right(self):
        body = self.body(OverlapAnswer("told", "Harbor Mutual"))
        assert "Harbor Mutual insures this loss and has been notified of it." in body


class TestRefusal:
    CHOICES = RefusalChoices("The offer leaves out labor", ANSWER_BY)

    def test_it_refuses_the_offer_and_leaves_the_claim_as_filed(self):
        letter = REFUSAL.write(FACTS, self.CHOICES)
        assert letter.subject == "Claim RIV-2026-0003: your offer is not accepted"
        for words in (
            "your offer of April 20, 2026 of USD 300.00 and do not accept it",
            "The offer leaves out labor.",
            "stands as filed, in the full amount of USD 962.50.",
            "decline it in writing with your reasons, by June 3, 2026",
        ):
            assert letter.body.count(words) == 1, words

    def test_what_is_paid_is_said(self):
        letter = REFUSAL.write(replace(FACTS, paid_cents=10_000), self.CHOICES)
        assert "of USD 962.50, of which USD 100.00 is paid." in letter.body

    @pytest.mark.parametrize(
        ("over", "words"),
        [({"why": " "}, "Enter why"), ({"answer_by": TODAY}, "not after today")],
    )
    def test_what_does_not_fit_is_said(self, over, words):
        choices = replace(self.CHOICES, **over)
        assert words in " ".join(REFUSAL.against_choices(FACTS, choices))
        assert REFUSAL.against_choices(FACTS, self.CHOICES) == ()

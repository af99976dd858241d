"""What the forms of the answers offer, read and refuse."""

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest
from crispy_forms.utils import render_crispy_form
from django.http import QueryDict
from django.test import RequestFactory

from claims.forms.letters.answers import (
    FORMS_OF_ANSWERS,
    AcceptanceForm,
    CounterOfferForm,
    RebuttalForm,
)
from claims.forms.letters.claim_letter_forms import form_for
from claims.rules.letters.acceptance import AcceptanceChoices, Accepted
from claims.rules.letters.answers import KINDS_OF_ANSWERS
from claims.rules.letters.counter_offer import CounterChoices, Proposed
from claims.rules.letters.rebuttal import RebuttalChoices, offered
from claims.rules.letters.record_facts import Filed
from inventory.rules.core import frozen
from tests.claims.rules.letters.answering import (
    ANSWER_BY,
    DELIVERED,
    FACTS,
    RECORD,
    with_record,
)

DAY = ANSWER_BY.isoformat()
BY_LINE = {
    "way": "lines",
    "line_1": "600.00",
    "why_1": "Cannot be straightened",
    "line_2": "200",
    "why": "Labor is left out",
    "answer_by": DAY,
}


def sent(form_class, facts=FACTS, **data):
    typed = QueryDict(mutable=True)
    for name, value in data.items():
        typed.setlist(name, value if isinstance(value, list) else [value])
    return form_class(data=typed, facts=facts)


def test_every_answer_has_its_form():
    assert list(FORMS_OF_ANSWERS) == [kind.key for kind in KINDS_OF_ANSWERS]
    assert all(form_for(key) is form for key, form in FORMS_OF_ANSWERS.items())


class TestCounterOffer:
    def test_reads_an_amount_for_each_line(self):
        form = sent(CounterOfferForm, **BY_LINE)
        assert form.is_valid(), form.errors
        assert form.choices() == CounterChoices(
            (Proposed(1, 60_000, "Cannot be straightened"), Proposed(2, 20_000)),
            0,
            "Labor is left out",
            ANSWER_BY,
        )

    def test_reads_one_sum_and_leaves_the_lines_aside(self):
        form = sent(CounterOfferForm, way="sum", whole="800", why="x", answer_by=DAY)
        assert form.is_valid(), form.errors
        assert form.choices() == CounterChoices((), 80_000, "x", ANSWER_BY)

    @pytest.mark.parametrize(
        ("over", "field"),
        [
            ({"line_2": ""}, "line_2"),
            ({"line_1": "1e3"}, "line_1"),
            ({"line_1": "-5"}, "line_1"),
            ({"way": ""}, "way"),
            ({"way": "both"}, "way"),
            ({"way": "sum"}, "whole"),
            ({"why": "x" * 2_001}, "why"),
            ({"why_1": "x" * 401}, "why_1"),
            ({"answer_by": ""}, "answer_by"),
            ({"answer_by": "soon"}, "answer_by"),
            ({"answer_by": "2031-01-01"}, "answer_by"),
        ],
    )
    def test_refuses_what_it_cannot_read(self, over, field):
        form = sent(CounterOfferForm, **(BY_LINE | over))
        assert not form.is_valid()
        assert list(form.errors) == [field]

    def test_starts_with_what_is_still_claimed_and_says_what_was_offered(self):
        lines = (replace(FACTS.lines[0], paid_cents=10_000), FACTS.lines[1])
        form = CounterOfferForm(facts=replace(FACTS, lines=lines))
        assert form["line_1"].value() == "542.50"
        page = render_crispy_form(form)
        assert "Line 1: Deck shell: bent, serial 10021. Claimed: USD 542.50" in page
        assert "USD 300.00 offered in all" in page


class TestRebuttal:
    def test_offers_each_point_with_what_the_letter_would_say(self):
        page = render_crispy_form(RebuttalForm(facts=FACTS))
        assert "Packaging (6)" in page
        assert "Your driver Sam Poole unloaded on March 10, 2026 (forklift)." in page

    def test_offers_nothing_for_a_reason_without_a_fact(self):
        facts = with_record(
            salvage="", salvage_cents=0, parts_kept=(), refused=(), unmarked=0
        )
        form = RebuttalForm(facts=facts)
        assert "points_salvage" not in form.fields
        assert "Salvage" not in render_crispy_form(form)

    def test_reads_points_of_several_reasons(self):
        form = sent(
            RebuttalForm,
            points_packaging=["packaging/unmarked", "packaging/crate-marked"],
            points_salvage=["salvage/parts"],
            own_words="Call us",
            answer_by=DAY,
        )
        assert form.is_valid(), form.errors
        assert form.choices() == RebuttalChoices(
            ("packaging/unmarked", "packaging/crate-marked", "salvage/parts"),
            "Call us",
            ANSWER_BY,
        )

    def test_asks_for_a_point(self):
        form = sent(RebuttalForm, answer_by=DAY)
        assert not form.is_valid()
        assert "Choose at least one point" in str(form.non_field_errors())

    def test_a_point_without_its_fact_is_no_choice(self):
        form = sent(
            RebuttalForm,
            facts=with_record(parts_kept=()),
            points_salvage=["salvage/parts"],
            answer_by=DAY,
        )
        assert not form.is_valid()
        assert "points_salvage" in form.errors

    def test_all_points_may_be_chosen_at_once(self):
        data = {
            f"points_{reason}": [f"{reason}/{point.name}" for point in points]
            for reason, points in offered(FACTS).items()
        }
        assert sent(RebuttalForm, answer_by=DAY, **data).is_valid()


class TestAcceptance:
    def test_reads_the_lines_that_have_an_amount(self):
        form = sent(AcceptanceForm, line_1="300.00", line_2="", answer_by=DAY)
        assert form.is_valid(), form.errors
        assert form.choices() == AcceptanceChoices((Accepted(1, 30_000),), ANSWER_BY)

    def test_a_line_that_was_paid_is_not_asked_for(self):
        lines = (replace(FACTS.lines[0], paid_cents=64_250), FACTS.lines[1])
        form = AcceptanceForm(facts=replace(FACTS, lines=lines))
        assert "line_1" not in form.fields
        assert form["line_2"].value() == "300.00"

    @pytest.mark.parametrize("amount", ["0", "x", "-1"])
    def test_refuses_what_is_no_amount(self, amount):
        form = sent(AcceptanceForm, line_1=amount, answer_by=DAY)
        assert not form.is_valid()
        assert list(form.errors) == ["line_1"]

    def test_says_what_to_look_for_in_a_form_of_the_carriers(self):
        page = shown(FACTS)
        for words in (
            "Do not sign it and do not send it back.",
            "whole freight bill",
            "in full of all claims",
            "indemnify",
            "confidential",
        ):
            assert words in page
        assert "shipment=77&amp;kind=carrier-letter&amp;next=/claims/5/x/" in page
        assert "On file:" not in page

    def test_counts_the_letters_that_were_photographed(self):
        letters = (
            Filed("carrier-letter", DELIVERED),
            Filed("carrier-letter", date(2026, 5, 1)),
        )
        page = shown(with_record(files=(*RECORD.files, *letters)))
        assert "On file: 2 letters from the carrier, last on Fri 1 May 2026." in page


def shown(facts):
    form = AcceptanceForm(facts=facts)
    context = {
        "form": form,
        "row": SimpleNamespace(shipment_id=77),
        "request": RequestFactory().get("/claims/5/x/"),
    }
    return render_crispy_form(form, context=context)


@pytest.mark.parametrize(
    "form",
    [
        lambda: sent(CounterOfferForm, **BY_LINE),
        lambda: sent(AcceptanceForm, line_1="1", answer_by=DAY),
        lambda: sent(
            RebuttalForm, points_salvage=["salvage/parts"], answer_by=DAY, own_words=""
        ),
    ],
)
def test_choices_are_frozen_and_read_back(form):
    filled = form()
    assert filled.is_valid()
    choices = filled.choices()
    assert frozen.from_json(type(choices), frozen.to_json(choices)) == choices

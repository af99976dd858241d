"""Lines of a form: which are asked for, which are open."""

from typing import Any, ClassVar

from django import forms

from inventory.forms.core.lines import Line, LinedForm, Lines, lines_of


class Pair(Line):
    """A line with two halves."""

    name = forms.CharField(label="Name", required=False)
    count = forms.IntegerField(label="Count", required=False)

    def clean(self):
        self.require_whole({"name": "Enter a name.", "count": "Enter a count."})
        return self.cleaned_data


class Pairs(Lines):
    """Lines of two halves."""

    legend = "Pairs"
    shown = 2


class Paired(LinedForm):
    """A form with pairs."""

    line_sets_of: ClassVar[dict[str, Any]] = {"pair": lines_of(Pair, Pairs, most=5)}


def sent(*pairs, total=5):
    lines = {"pair-TOTAL_FORMS": str(total), "pair-INITIAL_FORMS": "0"}
    for number, (name, count) in enumerate(pairs):
        lines |= {f"pair-{number}-name": name, f"pair-{number}-count": count}
    return Paired(lines)


def test_lines_are_numbered_for_people():
    lines = Paired().line_sets["pair"]

    assert [line["name"].label for line in lines] == [
        f"Name {number}" for number in range(1, 6)
    ]
    assert {line["count"].label for line in lines} == {"Count"}


def test_only_filled_lines_are_returned_in_order():
    form = sent(("a", "1"), ("", ""), ("b", "2"))

    assert form.is_valid()
    assert form.line_sets["pair"].typed() == [
        {"name": "a", "count": 1},
        {"name": "b", "count": 2},
    ]


def test_zero_is_an_answer():
    assert sent(("", "0")).line_sets["pair"].forms[0].errors == {
        "name": ["Enter a name."]
    }


def test_half_a_line_asks_for_the_other_half():
    form = sent(("a", ""))

    assert not form.is_valid()
    assert form.line_sets["pair"].forms[0].errors == {"count": ["Enter a count."]}
    assert form.non_field_errors() == ["Check the lines under “Pairs”."]


def test_what_cannot_be_read_is_not_asked_for_too():
    form = sent(("a", "x"))

    assert form.line_sets["pair"].forms[0].errors == {
        "count": ["Enter a whole number."]
    }


def test_open_are_the_first_lines_and_one_more_than_are_filled():
    empty = Paired().line_sets["pair"]
    assert (len(empty.open_lines), len(empty.folded_lines)) == (2, 3)

    three = Paired(initial={"pair": [{"name": name} for name in "abc"]})
    lines = three.line_sets["pair"]
    assert (len(lines.open_lines), len(lines.folded_lines)) == (4, 1)

    full = Paired(initial={"pair": [{"name": name} for name in "abcde"]})
    assert not full.line_sets["pair"].folded_lines

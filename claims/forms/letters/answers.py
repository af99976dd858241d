"""Forms for the letters that answer an offer or a written denial."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from crispy_forms.layout import HTML, Fieldset
from django import forms
from django.core.exceptions import ValidationError

from claims.forms.letters.choices import ChoicesForm
from claims.rules.letters.acceptance import THEIR_FORM, AcceptanceChoices, Accepted
from claims.rules.letters.claim_letter import LetterFacts, LetterLine
from claims.rules.letters.counter_offer import CounterChoices, Proposed
from claims.rules.letters.parts import amount
from claims.rules.letters.rebuttal import RebuttalChoices, key_of, offered
from claims.rules.letters.rebuttal_reasons import REASONS, Point
from claims.rules.letters.rebuttal_words import plural
from claims.rules.letters.refusal import RefusalChoices
from claims.rules.letters.terms_of_answers import open_cents, what
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.layout import Folded
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField, TextField
from inventory.rules.reckoning.calendars import in_words

_LONGEST = timedelta(days=366)


class AnswerByField(DayField):
    """The day by which the carrier is to answer or to pay, at most a year away."""

    def __init__(self, *, label: str = "Answer by") -> None:
        super().__init__(
            label=label,
            missing="Enter a date.",
            too_late="That is more than a year away. Enter a day up to {latest}.",
        )


class AnswerForm(ChoicesForm):
    """A letter that names a day to answer by."""

    answer_by = AnswerByField()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["answer_by"]
        if isinstance(field, DayField):
            field.latest = self.facts.today + _LONGEST

    def line_label(self, line: LetterLine) -> str:
        """Return a line with what is still claimed of it."""
        still = amount(self.facts, open_cents(line))
        return f"Line {line.number}: {what(line)}. Claimed: {still}"

    @property
    def offer(self) -> str:
        """Return what the carrier offered, for the head of the amounts."""
        return f"{amount(self.facts, self.facts.offered_cents or 0)} offered in all"


class CounterOfferForm(AnswerForm):
    """Propose an amount by line, or one sum, and say why."""

    way = PickField(
        label="How do you propose it?",
        words={"lines": "An amount for each line", "sum": "One sum for the claim"},
        as_rows=True,
        initial="lines",
        missing="Choose one.",
    )
    whole = MoneyField(label="One sum", required=False)
    why = TextField(
        label="Why",
        most=2000,
        help_text="In your own words. The letter prints it below the worksheet.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_one = self.is_bound and self.data.get("way") == "sum"
        self.fields["whole"].required = in_one
        for line in self.facts.lines:
            self.fields[f"line_{line.number}"] = MoneyField(
                label=self.line_label(line),
                required=not in_one,
                initial=open_cents(line),
            )
            self.fields[f"why_{line.number}"] = LineField(
                label=f"Why, for line {line.number}",
                most=400,
                required=False,
            )
        read_money_in(self, self.facts.currency)

    def rows(self) -> Iterable[Any]:
        """Return the way first, then the lines, the sum, and the rest."""
        lines = [
            name
            for line in self.facts.lines
            for name in (f"line_{line.number}", f"why_{line.number}")
        ]
        return [
            "way",
            Fieldset(f"Each line ({self.offer})", *lines),
            Fieldset("One sum", "whole"),
            "why",
            "answer_by",
        ]

    def choices(self) -> CounterChoices:
        """Return what is proposed."""
        data = self.cleaned_data
        by_line = data["way"] == "lines"
        return CounterChoices(
            lines=tuple(
                Proposed(
                    line.number,
                    data[f"line_{line.number}"],
                    data[f"why_{line.number}"],
                )
                for line in self.facts.lines
                if by_line
            ),
            sum_cents=0 if by_line else data["whole"],
            why=data["why"],
            answer_by=data["answer_by"],
        )


class RebuttalForm(AnswerForm):
    """Choose the points that answer the carrier's reasons, each with its fact."""

    own_words = TextField(
        label="Anything to add",
        most=2000,
        required=False,
        help_text="In your own words, after the points.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = offered(self.facts)
        for reason, points in self.offered.items():
            self.fields[f"points_{reason}"] = forms.MultipleChoiceField(
                label="Points",
                required=False,
                choices=[
                    (key_of(reason, one), _shown(one, self.facts)) for one in points
                ],
                widget=forms.CheckboxSelectMultiple,
                error_messages={"invalid_choice": "Choose from those listed."},
            )

    def rows(self) -> Iterable[Any]:
        """Return the points under each reason, then the rest."""
        return [
            *(
                Folded(f"{REASONS[reason].label} ({len(points)})", f"points_{reason}")
                for reason, points in self.offered.items()
            ),
            "own_words",
            "answer_by",
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for one point at least."""
        data: dict[str, Any] = super().clean() or {}
        if not self.errors and not self._points(data):
            raise ValidationError(
                "Choose at least one point: open the reason that the carrier gave. "
                "Nothing was saved."
            )
        return data

    def _points(self, data: dict[str, Any]) -> tuple[str, ...]:
        return tuple(
            key for reason in self.offered for key in data.get(f"points_{reason}", ())
        )

    def choices(self) -> RebuttalChoices:
        """Return the points, what is added, and the day."""
        data = self.cleaned_data
        return RebuttalChoices(self._points(data), data["own_words"], data["answer_by"])


def _shown(point: Point, facts: LetterFacts) -> str:
    """Return what the letter would say of this point."""
    fact = point.fact(facts, facts.record) if facts.record else ""
    return f"{fact} {point.so}".strip()


class AcceptanceForm(AnswerForm):
    """Name the lines that are accepted, each with its amount."""

    answer_by = AnswerByField(label="Pay by")
    their_form = THEIR_FORM

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lines = [line for line in self.facts.lines if open_cents(line)]
        for line in lines:
            self.fields[f"line_{line.number}"] = MoneyField(
                label=self.line_label(line),
                required=False,
                least=1,
                help_text="Leave it empty for a line that you do not accept.",
            )
        if len(lines) == 1:
            most = min(self.facts.offered_cents or 0, open_cents(lines[0]))
            self.fields[f"line_{lines[0].number}"].initial = most
        read_money_in(self, self.facts.currency)

    def rows(self) -> Iterable[Any]:
        """Return the lines, then the day."""
        lines = [name for name in self.fields if name.startswith("line_")]
        return [
            Fieldset(f"Accepted ({self.offer})", *lines),
            "answer_by",
            HTML("{% include 'claims/letters/their_release.html' %}"),
        ]

    @property
    def letters_on_file(self) -> str:
        """Return how many letters of the carrier were photographed, and since when."""
        record = self.facts.record
        rows = record.of("carrier-letter") if record else ()
        if not rows:
            return ""
        last = in_words(max(row.on for row in rows))
        return (
            f"On file: {plural(len(rows), 'letter')} from the carrier, last on {last}."
        )

    def choices(self) -> AcceptanceChoices:
        """Return the lines that have an amount."""
        data = self.cleaned_data
        found = [
            (line.number, data.get(f"line_{line.number}")) for line in self.facts.lines
        ]
        return AcceptanceChoices(
            tuple(Accepted(number, cents) for number, cents in found if cents),
            data["answer_by"],
        )


class RefusalForm(AnswerForm):
    """Say why the offer is refused."""

    why = TextField(
        label="Why",
        most=2000,
        missing="Enter why, in your own words.",
        help_text="The letter prints it.",
    )

    def rows(self) -> Iterable[Any]:
        """Return the reason first."""
        return ["why", "answer_by"]

    def choices(self) -> RefusalChoices:
        """Return the reason and the day."""
        return RefusalChoices(self.cleaned_data["why"], self.cleaned_data["answer_by"])


FORMS_OF_ANSWERS: dict[str, type[ChoicesForm]] = {
    "counter-offer": CounterOfferForm,
    "rebuttal": RebuttalForm,
    "acceptance": AcceptanceForm,
    "refusal": RefusalForm,
}

"""Forms for the letters that end a claim, move it, or certify facts for it."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from crispy_forms.layout import Row
from django import forms

from claims.forms.letters.choices import ChoicesForm
from claims.rules.letters.claim_letter import LetterLine
from claims.rules.letters.lines import goods_lines
from claims.rules.letters.non_receipt import NonReceiptChoices
from claims.rules.letters.salvage import HOW_SOLD, AccountChoices, OfferChoices
from claims.rules.letters.technician import StatementChoices, draft_of
from claims.rules.letters.withdrawal import WithdrawalChoices
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField, TextField


class WithdrawalForm(ChoicesForm):
    """Give the carrier a reason, or none."""

    reason = TextField(
        label="Reason",
        most=600,
        help_text="The carrier need not be given one.",
    )

    def choices(self) -> WithdrawalChoices:
        """Return the reason as typed."""
        return WithdrawalChoices(self.cleaned_data["reason"])


class _GoodsForm(ChoicesForm):
    """A form about the goods of some lines of the claim."""

    lines = forms.TypedMultipleChoiceField(
        label="Goods",
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one line.",
            "invalid_choice": "Choose from the lines of the claim.",
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["lines"]
        assert isinstance(field, forms.TypedMultipleChoiceField)  # noqa: S101
        here = goods_lines(self.facts)
        field.choices = [(line.number, _named(line)) for line in here]
        field.initial = [line.number for line in here]


def _named(line: LetterLine) -> str:
    serial = line.serial if line.serial not in line.label else ""
    return f"{line.number}. {line.label}{f', {serial}' if serial else ''}"


class SalvageOfferForm(_GoodsForm):
    """Offer the salvage: which goods, where, and by when to answer."""

    held_at = TextField(
        label="Where the goods are",
        most=400,
        missing="Enter where the carrier finds the goods: address, hours, phone.",
    )
    answer_by = DayField(
        label="Answer by",
        missing="Enter the day to answer by.",
        too_late="Give the carrier a year at most, up to {latest}.",
        help_text="The goods and their packaging are kept until then.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["held_at"].initial = self.facts.goods.held_at
        answer = self.fields["answer_by"]
        if isinstance(answer, DayField):
            answer.earliest = self.facts.today
            answer.latest = self.facts.today + timedelta(days=365)

    def choices(self) -> OfferChoices:
        """Return the goods, the place and the day."""
        data = self.cleaned_data
        return OfferChoices(tuple(data["lines"]), data["held_at"], data["answer_by"])


class SalvageAccountForm(_GoodsForm):
    """Account for the sale of the salvage."""

    lot = LineField(label="Lot number", most=40, missing="Enter a lot number.")
    how = PickField(label="How it was sold", words=HOW_SOLD, missing="Choose one.")
    buyer = LineField(label="Sold to", most=120, missing="Enter who bought it.")
    sold_on = DayField(label="Date of the sale", missing="Enter a date.")
    proceeds = MoneyField(
        label="Proceeds", missing="Enter an amount, such as 185.00.", least=1
    )
    cost = MoneyField(label="Cost of the sale")
    cost_for = LineField(
        label="What the cost was for",
        most=120,
        help_text="Such as hauling or an auctioneer's fee.",
    )
    answer = TextField(label="What the carrier answered to the offer", most=400)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, self.facts.currency)
        self.fields["lot"].initial = f"{self.facts.claim_number}-S1"
        sold = self.fields["sold_on"]
        if isinstance(sold, DayField):
            sold.latest = self.facts.today

    def rows(self) -> Iterable[Any]:
        """Return the fields in the order of the account."""
        return [
            *("lines", "lot", "how", "buyer", "sold_on"),
            Row("proceeds", "cost"),
            *("cost_for", "answer"),
        ]

    def choices(self) -> AccountChoices:
        """Return the sale as entered."""
        data = self.cleaned_data
        named = {name: data[name] for name in ("lot", "how", "buyer", "sold_on")}
        return AccountChoices(
            lines=tuple(data["lines"]),
            **named,
            proceeds_cents=data["proceeds"],
            cost_cents=data["cost"] or 0,
            cost_for=data["cost_for"],
            answer=data["answer"],
        )


class NonReceiptForm(ChoicesForm):
    """Say where it was looked for."""

    looked = TextField(
        label="Where you looked",
        most=400,
        missing="Enter where you looked: yard, other docks, receiving records.",
        help_text="You certify this with your signature.",
    )

    def choices(self) -> NonReceiptChoices:
        """Return what was typed."""
        return NonReceiptChoices(self.cleaned_data["looked"])


class StatementForm(ChoicesForm):
    """Edit the draft of the statement; it is signed in the technician's own words."""

    act = "Preview the statement"
    text = TextField(
        label="What you saw",
        most=6000,
        rows=14,
        missing="Enter what you saw.",
        help_text="Numbers that you change or leave out are listed below your text.",
    )
    present = LineField(
        label="Who else was there?",
        most=200,
        missing="Enter their names. Write Nobody if you were alone.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].initial = draft_of(self.facts.goods)

    def choices(self) -> StatementChoices:
        """Return the statement as edited."""
        return StatementChoices(self.cleaned_data["text"], self.cleaned_data["present"])


FORMS_OF_ENDINGS: dict[str, type[ChoicesForm]] = {
    "withdrawal": WithdrawalForm,
    "salvage-offer": SalvageOfferForm,
    "salvage-account": SalvageAccountForm,
    "non-receipt": NonReceiptForm,
    "technician-statement": StatementForm,
}

"""Forms around an offer: what going on costs, and who else may have paid."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from claims.forms.claim.steps import NoteField, StepForm
from claims.rules.claim.offer_facts import Costs
from claims.rules.letters.overlap import INSURER, SUPPLIER, OverlapAnswer
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.measure_fields import PercentField
from inventory.forms.core.number_fields import CountField, MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField


class CostsForm(HouseForm):
    """Enter what going on costs. What stays empty is said to be missing."""

    creates = True
    act = "Save the costs"
    limit = MoneyField(label="Small-claims limit", required=False, least=1)
    limit_source = LineField(
        label="Source of the limit",
        most=200,
        required=False,
        help_text="The court's page or rule, and the day you read it.",
    )
    filing = MoneyField(label="Filing fee", required=False)
    serving = MoneyField(label="Serving fee", required=False)
    lawyer = MoneyField(
        label="Lawyer",
        required=False,
        help_text="Counted only above the small-claims limit. It is a cost and is never "
        "recovered.",
    )
    percent = PercentField(
        label="Time value in percent a year",
        required=False,
        help_text="What waiting for the money costs you. It is not asked of the carrier.",
    )
    months = CountField(label="Months to a decision", required=False, least=1, most=120)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)

    def rows(self) -> Iterable[Any]:
        """Return the court first, then the time."""
        return [
            Fieldset("Court", "limit", "limit_source", Row("filing", "serving")),
            Fieldset("Lawyer and time", "lawyer", "percent", "months"),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the limit's source, and for something at all."""
        data: dict[str, Any] = super().clean() or {}
        if data.get("limit") is not None and not data.get("limit_source"):
            self.add_error("limit_source", "Enter the source of the limit.")
        named = ("limit", "filing", "serving", "lawyer", "percent", "months")
        if not self.errors and all(data.get(name) is None for name in named):
            raise ValidationError("Enter at least one figure. Nothing was saved.")
        return data

    def costs(self) -> Costs:
        """Return what was entered."""
        data = self.cleaned_data
        return Costs(
            limit_cents=data["limit"],
            limit_source=data["limit_source"] if data["limit"] is not None else "",
            filing_cents=data["filing"],
            serving_cents=data["serving"],
            lawyer_cents=data["lawyer"],
            yearly_percent=data["percent"],
            months=data["months"],
        )


def overlap_rows() -> list[Any]:
    """Return the questions in their order."""
    return [
        Fieldset("Insurer", "insurer", "insurer_name", "insurer_paid", "holds_right"),
        Fieldset("Supplier", "supplier", "supplier_credited"),
    ]


class OverlapForm(HouseForm):
    """Say who else was notified of the loss, or has paid for it."""

    creates = True
    act = "Save the answers"
    insurer = PickField(
        label="Was an insurer notified, or has it paid?",
        words=INSURER,
        missing="Choose one.",
        as_rows=True,
    )
    insurer_name = LineField(label="Insurer", most=120, required=False)
    insurer_paid = MoneyField(label="Insurer paid", required=False, least=1)
    holds_right = forms.BooleanField(
        label="The insurer holds the right to what it paid, and is named so in the release",
        required=False,
        help_text="An insurer that pays stands in your place (subrogation, from memory). "
        "Ask counsel before you release anything.",
    )
    supplier = PickField(
        label="Has the supplier credited the same finding?",
        words=SUPPLIER,
        missing="Choose one.",
        as_rows=True,
    )
    supplier_credited = MoneyField(
        label="Supplier credited",
        required=False,
        least=1,
        help_text="Free parts and free labor count, at what they would have cost.",
    )
    note = NoteField()

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)

    def rows(self) -> Iterable[Any]:
        """Return the insurer, the supplier and the note."""
        return [*overlap_rows(), "note"]

    def clean(self) -> dict[str, Any]:
        """Ask for the name and the amounts that the answers need."""
        data: dict[str, Any] = super().clean() or {}
        ask_for_the_rest(self, data)
        return data

    def said(self) -> OverlapAnswer:
        """Return the answers."""
        return said_in(self.cleaned_data)


def ask_for_the_rest(form: HouseForm, data: dict[str, Any]) -> None:
    """Ask for the name and the amounts that the answers need."""
    wanted = (
        ("insurer", {"told", "paid"}, "insurer_name", "Enter the insurer's name."),
        ("insurer", {"paid"}, "insurer_paid", "Enter what the insurer paid."),
        ("supplier", {"yes"}, "supplier_credited", "Enter what was credited."),
    )
    for asked, answers, name, words in wanted:
        is_missing = data.get(asked) in answers and not data.get(name)
        if is_missing and name not in form.errors:
            form.add_error(name, words)


def said_in(data: dict[str, Any]) -> OverlapAnswer:
    """Return the answers; what an answer does not need is left out."""
    is_told, is_paid = data["insurer"] != "no", data["insurer"] == "paid"
    credited = data["supplier_credited"] if data["supplier"] == "yes" else None
    return OverlapAnswer(
        insurer=data["insurer"],
        insurer_name=data["insurer_name"] if is_told else "",
        insurer_cents=data["insurer_paid"] if is_paid else 0,
        holds_right=is_paid and data["holds_right"],
        supplier_cents=credited or 0,
    )


class RefuseForm(StepForm):
    """Record that our refusal of the offer went out."""

    act = "Record the refusal"

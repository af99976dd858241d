"""Forms for what the carrier and we answer each other."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from claims.forms.claim.steps import (
    AmountField,
    FilesField,
    ReasonField,
    RequiredDayField,
    StepForm,
)
from claims.rules.core.vocabulary import (
    DENIAL_REASONS,
    INSPECTION_ENDS,
    PERMISSIONS,
    SENT_HOW,
)
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField


class HowField(PickField):
    """How something went to the carrier."""

    def __init__(self) -> None:
        super().__init__(label="How?", words=SENT_HOW, missing="Choose one.")


class WhoField(LineField):
    """Who wrote, signed or bought."""

    def __init__(self, *, label: str = "Who wrote it?", required: bool = True) -> None:
        words = {"missing": "Enter a name."} if required else {"required": False}
        super().__init__(label=label, most=120, **words)


class MoneyStepForm(StepForm):
    """An act with an amount, read in the claim's currency."""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class AskInspectionForm(StepForm):
    """Record that the carrier was asked to inspect."""

    act = "Record the request"
    on = RequiredDayField(label="Date of the request")
    how = HowField()


class InspectionForm(StepForm):
    """Record what came of a request for inspection."""

    act = "Record the inspection"
    outcome = PickField(
        label="What happened?",
        words=INSPECTION_ENDS,
        missing="Choose one.",
        as_rows=True,
    )
    words = WhoField(label="Carrier's inspector", required=False)


class PermissionForm(StepForm):
    """Record the carrier's written answer on one question."""

    act = "Record the answer"
    on = RequiredDayField(label="Date of the answer")
    about = PickField(
        label="What did the carrier answer on?",
        words=PERMISSIONS,
        missing="Choose one.",
        as_rows=True,
    )
    answer = PickField(
        label="Its answer",
        words={"yes": "Yes, in writing", "no": "No"},
        missing="Choose one.",
        as_rows=True,
    )
    words = WhoField()


class AskPapersForm(StepForm):
    """Record which documents the carrier asks for."""

    act = "Record what the carrier asks for"
    on = RequiredDayField(label="Date of the letter")
    reason = ReasonField(label="Documents the carrier asks for")
    by_day = DayField(label="Wanted by", required=False)
    note = None  # type: ignore[assignment]  # the reason is the note


class SupplyPapersForm(StepForm):
    """Record which documents went to the carrier."""

    act = "Record as supplied"
    on = RequiredDayField(label="Date sent")
    how = HowField()
    reason = ReasonField(label="Documents supplied")
    note = None  # type: ignore[assignment]  # the reason is the note


class SalvageForm(MoneyStepForm):
    """Record a sale of salvage."""

    act = "Record the sale"
    on = RequiredDayField(label="Date sold")
    amount = AmountField(label="Sold for")
    words = WhoField(label="Buyer")


class OfferForm(MoneyStepForm):
    """Record an offer."""

    act = "Record the offer"
    on = RequiredDayField(label="Date of the offer")
    amount = AmountField(label="Amount offered")
    by_day = DayField(label="Offer ends on", required=False)


class CounterForm(MoneyStepForm):
    """Record our counter-offer."""

    act = "Record the counter-offer"
    on = RequiredDayField(label="Date sent")
    amount = AmountField(label="Amount we would take")


class AcceptForm(MoneyStepForm):
    """Record what was agreed."""

    act = "Record the agreement"
    on = RequiredDayField(label="Date agreed")
    amount = AmountField(label="Amount agreed")


class DisallowanceForm(MoneyStepForm):
    """Record a written denial of the claim or of a part of it."""

    act = "Record the written denial"
    on = RequiredDayField(label="Date of the letter")
    part = PickField(
        label="What does it decline?",
        words={"whole": "The whole claim", "part": "A part of it"},
        initial="whole",
        missing="Choose one.",
        as_rows=True,
    )
    amount = MoneyField(label="Amount declined, if a part")
    why = PickField(
        label="Carrier's reason",
        words=DENIAL_REASONS,
        empty="Choose one",
        required=False,
    )
    reason = ReasonField(label="Reason given in the letter")
    words = WhoField(label="Who signed it?", required=False)
    whom = LineField(
        label="On whose behalf?",
        most=120,
        required=False,
        help_text="An insurer or adjuster must say for which carrier it writes.",
    )
    with_offer = forms.BooleanField(
        label="The same letter makes an offer",
        required=False,
        help_text="It is then disputed whether the letter declines the claim. To be "
        "safe, the time to sue is counted from it.",
    )
    documents = FilesField()
    note = None  # type: ignore[assignment]  # the reason is the note

    def clean(self) -> dict[str, Any]:
        """Ask for the amount where a part is declined."""
        cleaned: dict[str, Any] = super().clean() or {}
        is_bare = cleaned.get("part") == "part" and not cleaned.get("amount")
        if is_bare and "amount" not in self.errors:
            self.add_error("amount", ValidationError("Enter the amount declined."))
        return cleaned

"""Forms for the carrier's payments."""

from collections.abc import Sequence
from typing import Any

from django import forms

from claims.forms.claim.answers import MoneyStepForm
from claims.forms.claim.steps import (
    AmountField,
    FilesField,
    NoteField,
    ReasonField,
    RequiredDayField,
    StepForm,
)
from claims.rules.core.vocabulary import PAYMENT_DECISIONS, PAYMENT_METHODS
from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.text_fields import LineField


class PaymentForm(MoneyStepForm):
    """Record a payment of the carrier."""

    creates = True
    act = "Record the payment"
    on = RequiredDayField(label="Date received")
    amount = AmountField(label="Amount received")
    method = PickField(
        label="How was it paid?",
        words=PAYMENT_METHODS,
        initial="check",
        missing="Choose one.",
    )
    reference = LineField(label="Check number or reference", most=80, required=False)
    bills = LineField(
        label="Freight bills credited",
        most=300,
        required=False,
        help_text="For a carrier's credit: the PRO of each open freight bill.",
    )
    in_full = forms.BooleanField(
        label='It says "payment in full" or similar',
        required=False,
        help_text="On the check, the stub, the wire or the letter. Do not deposit the "
        "check: a manager decides first.",
    )
    note = NoteField(
        label="Note",
        help_text="If it is more than the balance, explain why.",
    )


class ReversePaymentForm(StaleForm):
    """Take a payment back that was recorded by mistake."""

    creates = True
    act = "Reverse the payment"
    reason = ReasonField(help_text="The payment stays on the page, marked as reversed.")


class DecidePaymentForm(StepForm):
    """Decide what a payment settles."""

    creates = True
    act = "Save the decision"
    on = RequiredDayField(label="Date")
    choice = PickField(
        label="What does it settle?",
        words=PAYMENT_DECISIONS,
        missing="Choose one.",
        as_rows=True,
    )
    documents = FilesField()

    def __init__(self, *args: Any, choices: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["choice"]
        if isinstance(field, PickField):
            field.choices = [(key, PAYMENT_DECISIONS[key]) for key in choices]

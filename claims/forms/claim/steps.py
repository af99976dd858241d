"""Forms for what happens to a claim, a notice or a deadline after it is made."""

from datetime import date
from typing import Any

from django import forms

from claims.rules.core.vocabulary import SENT_HOW
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.evidence.photos import PhotoField, PhotoFormMixin

_PHOTO_HELP = (
    "A photo or PDF of it, if there is one. If the page comes back with a mistake, "
    "choose it again."
)


class _DatedForm(StaleForm):
    """A form whose ``on`` is a day up to today, today unless typed."""

    on = DayField(label="On which day", missing="Write the day as 2026-03-31.")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today
        field = self.fields["on"]
        if isinstance(field, DayField):
            field.latest = today


class SendForm(_DatedForm):
    """Record that a claim, a supplement or a notice went out."""

    act = "Record the sending"
    how = PickField(
        label="How it went", words=SENT_HOW, missing="Say how it went.", as_rows=True
    )


class ReceiptForm(PhotoFormMixin, _DatedForm):
    """Record the day the other side received it, and what proves it."""

    act = "Record the receipt"
    has_files = True
    on = DayField(
        label="The day it was received", missing="Write the day as 2026-03-31."
    )
    words = LineField(
        label="What proves it",
        most=200,
        missing="Say what proves it: who signed, or which answer came back.",
        help_text="A courier's signature, an automatic reply, the carrier's letter.",
    )
    photo = PhotoField(label="The proof itself", help_text=_PHOTO_HELP)


class AcknowledgementForm(_DatedForm):
    """Record the carrier's acknowledgement."""

    act = "Record the acknowledgement"
    number = LineField(
        label="The carrier's number for the claim", most=40, is_identifier=True
    )


class OfferForm(_DatedForm):
    """Record an offer."""

    act = "Record the offer"
    amount = MoneyField(
        label="Amount offered", missing="Write the amount offered.", least=1
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class DisallowanceForm(_DatedForm):
    """Record a written disallowance of the claim or of a part of it."""

    act = "Record the disallowance"
    on = DayField(label="Date of the letter", missing="Write the day as 2026-03-31.")
    reason = TextField(
        label="What it says",
        most=1000,
        missing="Write down the reason the letter gives.",
    )
    with_offer = forms.BooleanField(
        label="The same letter also offers something",
        required=False,
        help_text="Then it is disputed whether it disallows. The suit's time is "
        "counted from it all the same, to be safe.",
    )


class SettlementForm(_DatedForm):
    """Record the money that came in."""

    act = "Record the settlement"
    amount = MoneyField(
        label="Amount received", missing="Write the amount received.", least=1
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class ReasonForm(StaleForm):
    """Ask for the reason of an act."""

    act = "Withdraw the claim"
    reason = TextField(label="Why", most=1000, missing="Say why in a few words.")


class PaperForm(HouseForm):
    """Say that a paper is not needed, and why."""

    act = "Say that it is not needed"
    reason = TextField(
        label="Why this claim does not need it",
        most=500,
        missing="Say why. The reason is printed in the packet.",
    )


class OverrideForm(HouseForm):
    """Set our own date for a duty, beside the counted one."""

    act = "Set our date"
    due = DayField(label="Our own date", missing="Write the day as 2026-03-31.")
    reason = TextField(
        label="Why", most=1000, missing="Say why. Both dates stay on the page."
    )


class NoticeForm(HouseForm):
    """Keep a notice as it will be sent."""

    act = "Keep the notice"
    addressee = LineField(label="To", most=100, missing="Say to whom it goes.")
    text = TextField(
        label="The notice",
        most=8000,
        rows=22,
        missing="The notice is empty. Write what was found.",
    )

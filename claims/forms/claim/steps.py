"""Forms for what happens to a claim, a notice or a deadline after it is made."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Any, ClassVar

from claims.rules.core.vocabulary import SENT_HOW
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, TextField


class RequiredDayField(DayField):
    """A day that must be entered."""

    def __init__(self, *, label: str) -> None:
        super().__init__(label=label, missing="Enter a date.")


class ReasonField(TextField):
    """A required reason, in a few sentences."""

    def __init__(self, *, label: str = "Reason", most: int = 1000, **more: Any) -> None:
        super().__init__(label=label, most=most, missing="Enter a reason.", **more)


class AmountField(MoneyField):
    """A required amount of more than nothing."""

    def __init__(self, *, label: str) -> None:
        missing = "Enter an amount, such as 185.00."
        super().__init__(label=label, missing=missing, least=1)


class DatedForm(StaleForm):
    """A form whose ``on`` is a day up to today, today unless typed."""

    on = RequiredDayField(label="Date")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today
        field = self.fields["on"]
        if isinstance(field, DayField):
            field.latest = today


class FilesField(PhotosField):
    """The letters, photos or documents that an act on a claim comes with."""

    def __init__(self) -> None:
        super().__init__(label="Letters, photos or documents")


class NoteField(TextField):
    """A note that may stay empty."""

    def __init__(self, *, label: str = "Note", **more: Any) -> None:
        super().__init__(label=label, most=1000, required=False, **more)


class StepForm(DatedForm):
    """One dated act on a claim, with a note and files where there are any."""

    note = NoteField()
    documents = FilesField()

    tail: ClassVar[tuple[str, ...]] = ("note", "documents")

    def rows(self) -> Iterable[Any]:
        """Return the act's own fields, then the note and the files."""
        own = [name for name in self.fields if name not in (*self.tail, "once")]
        return [*own, *(name for name in self.tail if name in self.fields)]


class SendForm(DatedForm):
    """Record that a claim, a supplement or a notice was sent."""

    act = "Record as sent"
    on = RequiredDayField(label="Date sent")
    how = PickField(
        label="How was it sent?", words=SENT_HOW, missing="Choose one.", as_rows=True
    )
    tracking = LineField(
        label="Tracking or confirmation number",
        most=40,
        is_identifier=True,
        help_text="From the mailing receipt, or the portal's confirmation.",
    )


class AddressedForm(HouseForm):
    """A form that asks which company of the freight bill something goes to.

    ``parties`` maps the key of each company to its words; without any, nothing is
    asked. ``company`` returns the one chosen.
    """

    def __init__(self, *args: Any, parties: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if parties:
            self.fields["company"] = PickField(
                label="To", words=parties, missing="Choose one.", as_rows=True
            )
            self.fields["company"].initial = next(iter(parties))

    @property
    def company(self) -> int | None:
        """Return the key of the company that was chosen."""
        chosen = self.cleaned_data.get("company")
        return int(chosen) if chosen else None


class AddressForm(AddressedForm, StaleForm):
    """Choose which company of the freight bill a claim goes to."""

    act = "Save"


class SendClaimForm(AddressedForm, SendForm):
    """Record that a claim was sent, and to which company of the freight bill."""

    def rows(self) -> Iterable[Any]:
        """Ask first whom it went to."""
        asked = ["company"] if "company" in self.fields else []
        return ["version", *asked, "on", "how", "tracking"]


class ReceiptForm(DatedForm):
    """Record the day on which the other side received it, and the proof."""

    act = "Record proof of delivery"
    on = RequiredDayField(label="Date received")
    words = LineField(
        label="Proof",
        most=200,
        missing="Enter the proof: who signed, or which reply they sent.",
        help_text="A courier's signature, an automatic reply or the carrier's letter.",
    )
    photo = PhotosField(label="Photo or PDF of the proof", multiple=False)


class DeliveryProofForm(DatedForm):
    """Record what proves the delivery day of a claim that was opened elsewhere."""

    act = "Record the proof"
    on = RequiredDayField(label="Delivered on")
    words = LineField(
        label="Proof",
        most=200,
        missing="Enter the proof: whose signed receipt or letter shows the day.",
        help_text="The signed delivery receipt, the carrier's POD or its letter.",
    )


class AcknowledgementForm(StepForm):
    """Record the carrier's acknowledgment."""

    act = "Record the acknowledgment"
    on = RequiredDayField(label="Date of the acknowledgment")
    number = LineField(label="Carrier's claim number", most=40, is_identifier=True)


class PaperForm(HouseForm):
    """Mark a document as not needed, with the reason."""

    creates = True
    act = "Mark as not needed"
    reason = ReasonField(
        label="Why is it not needed?",
        most=500,
        help_text="The claim file prints the reason.",
    )


class GivePaperForm(HouseForm):
    """Give a missing document to a person, with the day to have it by.

    ``people`` maps the sign-in name of each who can have it to their name.
    """

    creates = True
    act = "Save"
    by_day = DayField(label="By", missing="Enter the day to have it by.")
    note = NoteField(label="Note", help_text="Such as whom to ask. They see it.")

    def __init__(
        self, *args: Any, people: Mapping[str, str], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["owner"] = PickField(
            label="Who gets it?", words=people, missing="Choose who gets it."
        )
        by_day: Any = self.fields["by_day"]
        by_day.earliest, by_day.latest = today, today + timedelta(days=366)
        by_day.too_late = "That is more than a year away. Enter a day up to {latest}."

    def rows(self) -> Iterable[Any]:
        """Ask first who gets it."""
        return ["owner", "by_day", "note"]


class OverrideForm(HouseForm):
    """Set our own date for a deadline. The date by rule stays."""

    creates = True
    act = "Set our own date"
    due = RequiredDayField(label="Our own date")
    reason = ReasonField(help_text="Both dates stay on the page.")


class NoticeForm(AddressedForm):
    """Save a notice as it will be sent.

    With several companies on the bill, the choice of one decides the printed address.
    """

    creates = True
    act = "Save the notice"
    addressee = LineField(
        label="Name on the letter", most=100, missing="Enter whom it goes to."
    )
    text = TextField(
        label="Text of the notice",
        most=8000,
        rows=22,
        missing="Enter the text of the notice.",
    )

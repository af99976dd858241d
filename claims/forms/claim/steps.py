"""Forms for what happens to a claim, a notice or a deadline after it is made."""

from collections.abc import Iterable
from datetime import date
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


class OverrideForm(HouseForm):
    """Set our own date for a deadline. The date by rule stays."""

    creates = True
    act = "Set our own date"
    due = RequiredDayField(label="Our own date")
    reason = ReasonField(help_text="Both dates stay on the page.")


class NoticeForm(HouseForm):
    """Save a notice as it will be sent."""

    creates = True
    act = "Save the notice"
    addressee = LineField(label="To", most=100, missing="Enter whom it goes to.")
    text = TextField(
        label="Text of the notice",
        most=8000,
        rows=22,
        missing="Enter the text of the notice.",
    )

"""Forms for a carrier in bankruptcy."""

from datetime import date
from typing import Any

from claims.forms.claim.steps import NoteField, RequiredDayField, StepForm
from inventory.forms.core.base import HouseForm
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField


class BankruptcyForm(HouseForm):
    """Record a carrier's bankruptcy from the court's paper, or correct the record."""

    creates = True
    act = "Save"
    petition_on = RequiredDayField(label="Day of the petition")
    court = LineField(
        label="Court",
        most=160,
        missing="Enter the court, such as Bankr. D. Neb.",
    )
    case_number = LineField(
        label="Case number",
        most=40,
        is_identifier=True,
        missing="Enter the case number from the notice.",
    )
    bar_on = DayField(
        label="Bar date",
        help_text="The last day on which the court takes a proof of claim.",
    )
    reason = NoteField(label="What changed?")
    documents = PhotosField(label="Court's paper", multiple=False)

    def __init__(
        self, *args: Any, today: date, is_first: bool, has_bill: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        petition: Any = self.fields["petition_on"]
        petition.latest = today
        if is_first:
            del self.fields["reason"]
        if not has_bill:
            del self.fields["documents"]


class ProofOfClaimForm(StepForm):
    """Record the day on which the court received the proof of claim."""

    act = "Record as filed"
    on = RequiredDayField(label="Day the court received it")
    words = LineField(
        label="What shows it",
        most=120,
        missing="Enter what shows it, such as the claim number in the register.",
    )

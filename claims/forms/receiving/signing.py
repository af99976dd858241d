"""Forms for delivery receipts: how each ended, and what is added afterwards."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Submit
from django import forms

from claims.forms.receiving.tailgate import NO_PHOTO
from claims.rules.receiving.receipt_lines import Ending, ending_line
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.layout import Folded
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.mail.outbox import AddressField
from inventory.rules.core import vocabulary as words

SIGNED_BY_DRIVER = {
    "signed": "With our exceptions",
    "handheld": "Handheld took no exceptions",
    "bare": "Without our exceptions",
}
NOT_SIGNED = {
    "refused": "Driver refused to sign",
    "no-wait": "Driver would not wait",
    "dropped": "No driver present",
}
COPIES = {key: label for key, label in words.WORDS_STAND_ON.items() if key != "none"}


@dataclass(frozen=True)
class OpenBill:
    """A bill whose receipt is open: its handover's key, and the end of its PRO.

    ``left_at`` is when the driver left, where that is known.
    """

    pk: int
    tail: str
    left_at: str = ""


class SignForm(StaleForm):
    """How the receipt of one bill ended, and of the others where it is the same."""

    how_signed = PickField(
        label="How did it end?",
        words=SIGNED_BY_DRIVER | NOT_SIGNED,
        missing="Choose how the receipt ended.",
        as_rows=True,
    )
    words_stand_on = PickField(label="Our exceptions are on", words=COPIES)
    witness_name = LineField(
        label="Witness's name",
        most=80,
        help_text="Somebody of ours who saw it and writes the name on the receipt.",
    )
    photo = PhotosField(
        label="Photo of the receipt",
        camera=True,
        multiple=False,
        help_text="Show all four corners.",
    )
    no_photo_reason = PickField(
        label="Why no photo?", words=NO_PHOTO, empty="There is a photo"
    )
    driver_signed_name = LineField(label="Driver's name", most=80)
    read = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, bill: OpenBill, others: Sequence[OpenBill], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.bill, self.others = bill, others
        how: Any = self.fields["how_signed"]
        how.choices = [
            ("Driver signed", list(SIGNED_BY_DRIVER.items())),
            ("Not signed", list(NOT_SIGNED.items())),
        ]
        for name in ("photo", "no_photo_reason", "witness_name", "words_stand_on"):
            field: Any = self.fields[name]
            field.is_conditional = True
        if others:
            self._ask_for_others(len(others))

    def _ask_for_others(self, number: int) -> None:
        self.fields["same"] = forms.BooleanField(
            label=f"Same for the other {number} bills"
            if number > 1
            else "Same for the other bill",
            required=False,
            help_text="Each bill keeps its own text.",
        )
        photo: Any = self.fields["photo"]
        photo.label = f"Photo of receipt {self.bill.tail}"
        for one in self.others:
            more: Any = PhotosField(
                label=f"Photo of receipt {one.tail}", camera=True, multiple=False
            )
            more.is_conditional = True
            self.fields[self.photo_name(one.pk)] = more

    def photo_name(self, pk: int) -> str:
        """Return the name of the field for the photo of this bill's receipt."""
        return "photo" if pk == self.bill.pk else f"photo_{pk}"

    @property
    def below(self) -> list[tuple[str, str]]:
        """Return what our people write below the text, for each ending that needs it."""
        said = [
            (how, ending_line(Ending(how, left_at=self.bill.left_at)))
            for how in NOT_SIGNED
        ]
        return [(how, line[0].full) for how, line in said]

    def take_read(self, text: str) -> None:
        """Let a second save count against the texts as they are now."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data["read"] = text
        self.data = data

    @property
    def helper(self) -> FormHelper:
        """Return the helper without a form tag: the page has the bar of its act."""
        helper = super().helper
        helper.form_tag = False
        helper.inputs = []
        return helper

    def rows(self) -> list[Any]:
        """Return the fields in the order in which a receipt is signed."""
        same = [Field("same")] if self.others else []
        more = [
            Field(
                self.photo_name(one.pk),
                data_previews="pictures",
                wrapper_class="if-same",
            )
            for one in self.others
        ]
        copies = Field("words_stand_on")
        return [
            Field("version"),
            Field("read"),
            Field("how_signed", template="dock/layout/endings.html"),
            Field("witness_name", wrapper_class="if-refused"),
            *same,
            Field("photo", data_previews="pictures"),
            *more,
            Folded("No photo?", Field("no_photo_reason")),
            Field("driver_signed_name", wrapper_class="if-signed"),
            Folded("Which copies show our exceptions?", copies, css_class="if-ours"),
        ]

    def clean_words_stand_on(self) -> str:
        """Return the copies with our exceptions, both unless said otherwise."""
        return str(self.cleaned_data["words_stand_on"] or "both")

    def clean_read(self) -> dict[int, str]:
        """Return the digest of each bill's text as it was shown, by handover."""
        found = {}
        for part in self.cleaned_data["read"].split(","):
            key, _, digest = part.partition(":")
            if key.isascii() and key.isdigit() and len(key) < 12:
                found[int(key)] = digest
        return found

    def clean(self) -> dict[str, Any]:
        """Ask for a witness where the driver refused, and for each receipt's photo."""
        cleaned = super().clean() or {}
        how = cleaned.get("how_signed")
        is_unseen = not (cleaned.get("witness_name") or "witness_name" in self.errors)
        if how == "refused" and is_unseen:
            self.add_error("witness_name", "Enter who saw that the driver refused.")
        if how != "refused":
            cleaned["witness_name"] = ""
        if how not in SIGNED_BY_DRIVER:
            cleaned["driver_signed_name"] = ""
        for pk in self.signed_bills():
            self._ask_for_photo(self.photo_name(pk), cleaned)
        return cleaned

    def _ask_for_photo(self, name: str, cleaned: dict[str, Any]) -> None:
        has_reason = cleaned.get(name) or cleaned.get("no_photo_reason")
        if not has_reason and name not in self.errors:
            self.add_error(
                name, "Take a photo of the receipt, or choose why there is no photo."
            )

    def signed_bills(self) -> list[int]:
        """Return the handovers that the answer is for."""
        more = self.others if self.cleaned_data.get("same") else ()
        return [self.bill.pk, *(one.pk for one in more)]


SENT_MYSELF = "sent-myself"
"""The name of the button of whoever sent the mail from elsewhere."""


class MailForm(StaleForm):
    """Mail the carrier's terminal from here, or say that it was mailed from elsewhere."""

    act = "Send it now"

    to = AddressField(missing="Enter the address of the terminal.")

    @property
    def helper(self) -> FormHelper:
        """Return the crispy helper, with a second button."""
        helper = super().helper
        helper.add_input(Submit(SENT_MYSELF, "I sent it myself", css_class="btn-plain"))
        return helper

    @property
    def is_sent_elsewhere(self) -> bool:
        """Say whether a mail program of the person's own has sent it."""
        return SENT_MYSELF in self.data


class NoteForm(HouseForm):
    """Add a note to a receipt that is closed."""

    act = "Add a note"
    creates = True

    text = TextField(
        label="Note",
        most=2000,
        missing="Enter the note.",
        rows=5,
    )


class ImageForm(StaleForm):
    """Record whether our exceptions are on the carrier's POD."""

    act = "Save"

    photo = PhotosField(label="Carrier's POD, photo or PDF", multiple=False)
    result = PickField(
        label="Our exceptions",
        words={k: v for k, v in words.CARRIER_IMAGE.items() if k != "awaited"},
        missing="Choose one.",
        as_rows=True,
    )

    def rows(self) -> list[Any]:
        """Return the POD, then what it shows."""
        return [
            Field("version"),
            Field("photo", data_previews="pictures"),
            Field("result"),
        ]


class DispositionForm(StaleForm):
    """Record where a refused crate went."""

    act = "Save"

    disposition = PickField(
        label="Where did it go?",
        words={k: v for k, v in words.DISPOSITIONS.items() if k},
        missing="Choose one.",
        as_rows=True,
    )

    def rows(self) -> list[Any]:
        """Return the choice alone."""
        return [Field("version"), Field("disposition")]

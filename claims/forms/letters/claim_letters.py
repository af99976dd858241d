"""Forms for a letter about a claim: confirm it, and record what became of it."""

from typing import Any

from django import forms
from django.http import QueryDict

from claims.forms.claim.steps import ReasonField, ReceiptForm
from claims.rules.core.vocabulary import LETTER_PROOFS
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.text_fields import LineField

_MOST_ANSWERS = 40_000


class ConfirmLetterForm(HouseForm):
    """Confirm the letter that was previewed.

    It carries what was typed on the page before, and the digest of the letter as the
    person saw it.
    """

    creates = True
    act = "Confirm the letter"
    answers = forms.CharField(
        widget=forms.HiddenInput, required=False, max_length=_MOST_ANSWERS, strip=False
    )
    digest = forms.RegexField(r"\A[0-9a-f]{64}\Z", widget=forms.HiddenInput)

    @property
    def typed(self) -> QueryDict:
        """Return what was typed on the page before."""
        return QueryDict(str(self["answers"].value() or ""))

    def take_digest(self, digest: str) -> None:
        """Let a second confirmation be of the letter as it is shown now."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data[self.add_prefix("digest")] = digest
        self.data = data


class LetterProofForm(ReceiptForm):
    """Record the day on which a letter was received, and what proves it."""

    how = PickField(
        label="What proves it?",
        words=LETTER_PROOFS,
        missing="Choose one.",
        as_rows=True,
    )
    words = LineField(
        label="Proof",
        most=160,
        missing="Enter the proof: who signed, or what they answered.",
        help_text="Who signed, the number of the portal's confirmation, or what they "
        "answered. An email that was only accepted is no proof.",
    )
    field_order = ("version", "on", "how", "words", "photo")


class DropLetterForm(StaleForm):
    """Drop a letter that was never sent, with the reason."""

    act = "Drop the letter"
    reason = ReasonField(label="Why is it not sent?")

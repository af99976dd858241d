"""What a phone sends with one photo, the moment it is taken."""

from typing import Any

from django import forms

from inventory.forms.core.text_fields import LineField
from inventory.forms.evidence.photos import PhotoField
from inventory.rules.core import vocabulary as words

_AGAIN = (
    "The photo did not arrive whole. It was not saved and is still on this phone. "
    "Send it again."
)


class CaptureForm(forms.Form):
    """One photo with the phone's own id for it, its hash and the page's word."""

    client_id = forms.UUIDField(error_messages={"required": _AGAIN, "invalid": _AGAIN})
    kind = forms.ChoiceField(choices=tuple(words.EVIDENCE_KINDS.items()))
    caption = LineField(label="Caption", most=200)
    photo = PhotoField(required=True)
    sha256 = forms.RegexField(
        regex=r"\A[0-9a-f]{64}\Z", required=False, error_messages={"invalid": _AGAIN}
    )
    token = forms.CharField(required=False, max_length=2000)
    claimed = forms.CharField(required=False, max_length=150)
    once = forms.UUIDField(required=False)
    hold = forms.BooleanField(required=False)

    @property
    def wrong(self) -> str:
        """Return what is wrong, in one sentence or two."""
        errors: Any = self.errors
        return " ".join(dict.fromkeys(m for found in errors.values() for m in found))

"""The hidden key that lets a posting be sent again without paying twice."""

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError


class PostingMixin(forms.Form):
    """Adds ``posting_key``: a number of the form as it was opened."""

    posting_key = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["posting_key"].initial = uuid.uuid4

    def clean_posting_key(self) -> str:
        """Return the key as text; refuse one that was damaged on the way."""
        text = str(self.cleaned_data.get("posting_key") or "")
        try:
            return str(uuid.UUID(text))
        except ValueError:
            raise ValidationError(
                "This page was damaged on the way. Nothing was posted. Open it again."
            ) from None

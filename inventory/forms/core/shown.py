"""A preview that is sent back signed, so that what is saved is what was shown."""

from collections.abc import Mapping
from typing import Any, ClassVar, Self

from django import forms
from django.core import signing

from inventory.forms.core.base import HouseForm
from inventory.models import Location

_MOST_AGE = 12 * 60 * 60


class ShownForm(HouseForm):
    """Save what was previewed for one location.

    ``salt`` is the form's own; ``damaged`` is the refusal of what was not sent back
    whole, or too late.
    """

    salt: ClassVar[str]
    damaged: ClassVar[str]

    signed = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, location: Location, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.location = location

    @classmethod
    def sending(cls, location: Location, shown: Mapping[str, Any]) -> Self:
        """Return the form that sends this preview back; its values fit in JSON."""
        return cls(location=location, initial=cls._signed(location, shown))

    @classmethod
    def _signed(cls, location: Location, shown: Mapping[str, Any]) -> dict[str, str]:
        whole = {**shown, "location": location.pk}
        return {"signed": signing.dumps(whole, salt=cls.salt, compress=True)}

    def again(self, shown: Mapping[str, Any]) -> dict[str, Any]:
        """Return the cleaned data that the preview stands for."""
        raise NotImplementedError

    def clean(self) -> dict[str, Any]:
        """Return what was shown. Raise ValidationError where it changed."""
        cleaned: dict[str, Any] = super().clean() or {}
        sent = cleaned.get("signed", "")
        try:
            shown = signing.loads(sent, salt=self.salt, max_age=_MOST_AGE)
        except signing.BadSignature as error:
            raise forms.ValidationError(self.damaged) from error
        if shown["location"] != self.location.pk:
            raise forms.ValidationError(self.damaged)
        return self.again(shown)

"""Finding a crate by a photo of its label."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import BaseInput

from inventory.forms.core.base import HouseForm
from inventory.forms.evidence.photos import PhotoField

PICTURES = "image/jpeg,image/png,image/webp,image/heic"


class _PlainSubmit(BaseInput):  # type: ignore[misc]
    """A button that sends the form, in the style of a second choice."""

    input_type = "submit"
    field_classes = "btn"


class LabelPhotoForm(HouseForm):
    """Read the codes on one photo; the photo is not saved."""

    act = "Read the photo"
    has_files = True

    photo = PhotoField(
        label="Photo of the label",
        camera=True,
        required=True,
        help_text="The whole QR code or bar code, sharp and flat. The photo is not saved.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        attributes = self.fields["photo"].widget.attrs
        attributes |= {"accept": PICTURES, "data-previews": "pictures"}

    @property
    def helper(self) -> FormHelper:
        """Return the helper with a plain button: the main one is that for typing."""
        helper = super().helper
        helper.inputs = [_PlainSubmit("act", self.act)]
        return helper

"""Finding a crate by a photo of its label."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML

from inventory.forms.core.base import HouseForm
from inventory.forms.evidence.photos import PhotoField

_BUTTON = '<p class="acts"><button type="submit" class="btn">{}</button></p>'

PICTURES = "image/jpeg,image/png,image/webp,image/heic"


class LabelPhotoForm(HouseForm):
    """Read the codes on one photo; the photo is not kept."""

    act = "Read the photo"
    has_files = True

    photo = PhotoField(
        label="Photo of the label",
        camera=True,
        required=True,
        help_text="The whole QR or bar code, sharp and flat. The photo is not kept.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        attributes = self.fields["photo"].widget.attrs
        attributes |= {"accept": PICTURES, "data-previews": "pictures"}

    @property
    def helper(self) -> FormHelper:
        """Return the helper with a plain button: typing is the page's first way."""
        helper = super().helper
        helper.inputs = []
        helper.layout.append(HTML(_BUTTON.format(self.act)))
        return helper

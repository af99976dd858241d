"""Finding a crate by a photo of its label."""

from typing import Any

from inventory.forms.base import HouseForm
from inventory.forms.evidence import PhotoField

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
        self.fields["photo"].widget.attrs["accept"] = PICTURES
        self.fields["photo"].widget.attrs["data-previews"] = "pictures"

"""Forms that hide a photo, and show it again, with the reason."""

from inventory.forms.core.base import HouseForm
from inventory.forms.core.text_fields import TextField

_MISSING = "Enter the reason. It is shown in place of the photo."


class WithholdForm(HouseForm):
    """Hide a photo."""

    act = "Hide"

    reason = TextField(
        label="Reason",
        most=1000,
        missing=_MISSING,
        help_text="Such as: shows the driver's license; belongs to another crate.",
    )


class ShowAgainForm(HouseForm):
    """Show a hidden photo again."""

    act = "Show again"

    reason = TextField(
        label="Reason",
        most=1000,
        missing="Enter the reason. It is saved with the photo.",
    )

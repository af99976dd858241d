"""Forms that hide a photo, and show it again, with the reason."""

from inventory.forms.core.base import HouseForm
from inventory.forms.core.text_fields import TextField

_MISSING = "Say why. Whoever looks for the photo reads it."


class WithholdForm(HouseForm):
    """Hide a photo."""

    act = "Withhold it"

    reason = TextField(
        label="Why it must not be shown",
        most=1000,
        missing=_MISSING,
        help_text="Such as: shows a driver's papers; belongs to another crate.",
    )


class ShowAgainForm(HouseForm):
    """Show a withheld photo again."""

    act = "Show it again"

    reason = TextField(label="Why it may be shown", most=1000, missing=_MISSING)

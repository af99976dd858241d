"""Forms for legal holds."""

from inventory.forms.core.base import HouseForm
from inventory.forms.core.text_fields import LineField, TextField


class PlaceHoldForm(HouseForm):
    """Place a legal hold."""

    act = "Place the hold"
    creates = True

    matter = LineField(
        label="What it is about",
        most=120,
        missing="Enter what the hold is about.",
        help_text="Such as the other side's name and the number of the case.",
    )
    reason = TextField(
        label="Why everything must be kept",
        most=1000,
        missing="Enter why, and who asked for it.",
        help_text="Who asked for it, and on which day.",
    )


class LiftHoldForm(HouseForm):
    """Lift a legal hold."""

    act = "Lift the hold"

    reason = TextField(
        label="Why it may be lifted",
        most=1000,
        missing="Enter why, and who agreed.",
        help_text="Who agreed, such as your lawyer, and on which day.",
    )

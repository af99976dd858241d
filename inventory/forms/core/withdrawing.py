"""The form that takes back what was recorded by mistake."""

from typing import Any

from crispy_forms.layout import Field

from inventory.forms.core.base import StaleForm
from inventory.forms.core.text_fields import LineField


class WithdrawForm(StaleForm):
    """Ask for the reason."""

    act = "Take it back"

    reason = LineField(
        label="Reason",
        most=300,
        missing="Enter the reason, such as: typed twice.",
        help_text="It stays in the history with your name.",
    )

    def rows(self) -> list[Any]:
        """Return the reason alone."""
        return [Field("version"), Field("reason")]

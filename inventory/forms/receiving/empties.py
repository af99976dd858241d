"""The form that closes a truck without freight."""

from typing import Any

from crispy_forms.layout import Field

from inventory.forms.core.base import StaleForm
from inventory.forms.core.text_fields import LineField


class EmptiesOnlyForm(StaleForm):
    """Ask for a reason where no return was shipped on the truck."""

    act = "Took empties only, no freight"

    reason = LineField(
        label="Note",
        most=300,
        help_text="Needed only if no return was shipped on this truck.",
    )

    def rows(self) -> list[Any]:
        """Return the note alone."""
        return [Field("version"), Field("reason")]

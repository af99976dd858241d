"""The form that carries an unfinished check of a month."""

from collections.abc import Sequence
from typing import Any

from claims.forms.claim.steps import ReasonField
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField


class CarryForm(HouseForm):
    """Carry one of the open checks, with the reason."""

    act = "Carry the check"
    creates = True

    check = PickField(label="Check", words={}, missing="Choose one.", as_rows=True)
    reason = ReasonField(most=300)

    def __init__(
        self, *args: Any, checks: Sequence[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["check"]
        field.choices = list(checks)

"""Forms about a machine that leaves, and one that is back."""

from datetime import date
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row

from claims.rules.bench.leaving import CHECKED, LEAVES, RECHECKS
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.text_fields import LineField, TextField


class LeaveForm(HouseForm):
    """Record that a machine leaves."""

    creates = True
    act = "Record that it left"

    way = PickField(label="How", words=LEAVES, missing="Choose one.", as_rows=True)
    to = LineField(
        label="To whom",
        most=120,
        missing="Enter the customer, the location or the supplier.",
    )
    left_on = DayField(label="Day", required=True)
    note = TextField(label="Note", most=1000)

    def __init__(
        self,
        *args: Any,
        today: date,
        stood: bool,
        asks_reason: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        left_on: Any = self.fields["left_on"]
        left_on.latest = today
        self.checked = list(RECHECKS) if stood else []
        for key in self.checked:
            self.fields[f"check_{key}"] = field = PickField(
                label=RECHECKS[key], words=CHECKED, as_rows=True, required=False
            )
            field.is_conditional = True  # type: ignore[attr-defined]
        self.asks_reason = asks_reason
        if asks_reason:
            self.fields["reason"] = TextField(
                label="Reason, as the manager",
                most=1000,
                missing="Enter the reason.",
                help_text="It leaves without a sign-off. The reason stays with it.",
            )

    def rows(self) -> list[Any]:
        """Return how and to whom, the short check, then the manager's reason."""
        names = [f"check_{key}" for key in self.checked]
        checks = [Field(name, wrapper_class="abreast") for name in names]
        return [
            Field("way"),
            Row("to", "left_on"),
            *([Fieldset("Check at customer delivery", *checks)] if checks else []),
            *([Field("reason")] if self.asks_reason else []),
            Field("note"),
        ]

    def told(self) -> dict[str, Any]:
        """Return it as the action takes it."""
        cleaned = self.cleaned_data
        checks = {key: cleaned[f"check_{key}"] for key in self.checked}
        return {
            "way": cleaned["way"],
            "to": cleaned["to"],
            "left_on": cleaned["left_on"],
            "note": cleaned["note"],
            "reason": cleaned.get("reason", ""),
            "checks": {key: value for key, value in checks.items() if value},
        }


class BackForm(HouseForm):
    """Record that a machine is back."""

    creates = True
    act = "Record that it is here"

    reason = TextField(
        label="What happened",
        most=1000,
        missing="Enter what happened, such as: recorded by mistake.",
    )

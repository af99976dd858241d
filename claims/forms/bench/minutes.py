"""Forms of the time at the bench: book it, and take a mistake back."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from crispy_forms.layout import Row

from claims.forms.bench.fields import call_not_optional
from claims.models import Finding
from claims.rules.bench.minutes import CLAIMABLE, LONGEST, WORK
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.text_fields import LineField


class BookMinutesForm(HouseForm):
    """Book time on a machine: setup, or damage of one of its findings."""

    creates = True
    act = "Book the time"

    work = PickField(
        label="What was it for?", words=WORK, missing="Choose one.", as_rows=True
    )
    minutes = CountField(
        label="Minutes", least=1, most=LONGEST, missing="Enter the minutes."
    )
    done_on = DayField(label="Day", required=True)
    note = LineField(label="Note", most=300)

    def __init__(
        self, *args: Any, findings: Sequence[Finding], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.findings = {str(row.pk): row for row in findings}
        done_on: Any = self.fields["done_on"]
        done_on.latest = today
        if self.findings:
            self.fields["finding"] = PickField(
                label="Which damage?",
                words={key: str(row) for key, row in self.findings.items()},
                required=False,
                as_rows=True,
            )
            call_not_optional(self, "finding")
        else:
            work: Any = self.fields["work"]
            work.choices = [("setup", WORK["setup"])]
            work.help_text = "Time for damage needs a finding: record it first."

    def rows(self) -> list[Any]:
        """Return the work, the finding that it belongs to, then the time."""
        which = ["finding"] if self.findings else []
        return ["work", *which, Row("minutes", "done_on"), "note"]

    def clean(self) -> dict[str, Any]:
        """Ask for the finding where the time is for damage; leave it out for setup."""
        cleaned = super().clean() or {}
        is_damage = cleaned.get("work") in CLAIMABLE
        chosen = self.findings.get(cleaned.get("finding") or "")
        if is_damage and chosen is None and "finding" in self.fields:
            self.add_error("finding", "Choose the finding that the time belongs to.")
        cleaned["finding"] = chosen if is_damage else None
        return cleaned


class TakeBackForm(HouseForm):
    """Take back time that was booked by mistake."""

    creates = True
    act = "Take it back"

    reason = LineField(label="Reason", most=300, missing="Enter the reason.")

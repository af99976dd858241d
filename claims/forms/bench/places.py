"""Where on the machine: its plan as boxes, seen from above, the front on top."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Field
from django import forms

from claims.rules.bench.places import PLACES, in_order, rows_of

PLAN = "claims/bench/places.html"


class _PlaceBoxes(forms.CheckboxSelectMultiple):
    """Boxes that know their place on the plan, and where a row of it begins."""

    starts: frozenset[str] = frozenset()

    def create_option(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        """Return the option with its place."""
        option: dict[str, Any] = super().create_option(*args, **kwargs)
        value = str(option["value"])
        return option | {"place": PLACES[value], "starts_row": value in self.starts}


class PlacesField(forms.MultipleChoiceField):
    """Places on the plan of one kind of machine; also those already marked."""

    def __init__(
        self, *, kind: str, marked: Iterable[str] = (), **options: Any
    ) -> None:
        plan = rows_of(kind, marked)
        boxes = _PlaceBoxes()
        boxes.starts = frozenset(row[0] for row in plan)
        super().__init__(
            label="Where on the machine",
            choices=[(key, PLACES[key].label) for row in plan for key in row],
            widget=boxes,
            required=False,
            help_text="Seen from above. Left and right as you sit or stand to run it.",
            error_messages={"invalid_choice": "Tap a place on the machine."},
            **options,
        )

    def clean(self, value: Any) -> list[str]:
        """Return the places in the order of the list."""
        return in_order(super().clean(value))


def plan_layout() -> Field:
    """Return the place of the plan in a layout."""
    return Field("places", template=PLAN)

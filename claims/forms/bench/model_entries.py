"""The form for what the maker's manual says of a model."""

from typing import Any, ClassVar

from crispy_forms.layout import Row

from claims.forms.bench.setups import KIND_WORDS
from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.entry_choices import (
    LIMIT_WORDS,
    LIMITS,
    MOVE_WORDS,
    MOVES,
    UNITS_OF,
)
from claims.rules.bench.targets import Target
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.lines import Line, LinedForm, Lines, LinesLayout, lines_of
from inventory.forms.core.text_fields import LineField
from inventory.rules.reckoning.measures import MeasureError
from inventory.rules.reckoning.quantities import Quantity, parse_quantity

MOST_TARGETS = 16
MOST_ADJUSTERS = 6

_WAYS = {"raises": "Raises it", "lowers": "Lowers it"}


def _reading(form: Line, name: str, line: str) -> Quantity | None:
    """Return the reading typed in this field, or None; put what is wrong on the form."""
    text = form.cleaned_data.get(name, "")
    if not text or not line:
        return None
    try:
        return parse_quantity(text, UNITS_OF[line])
    except MeasureError as error:
        form.add_error(name, str(error))
        return None


class TargetLine(Line):
    """One figure of the maker: what it limits, from, to, and its page."""

    named = "limit"

    limit = PickField(
        label="Target", words=LIMIT_WORDS, empty="Choose one", required=False
    )
    low = LineField(label="Lowest allowed", most=40, required=False)
    high = LineField(label="Highest allowed", most=40, required=False)
    page = LineField(label="Page of the manual", most=80, required=False)

    target: Target | None = None

    def clean(self) -> dict[str, Any]:
        """Ask for the whole line; make the target."""
        cleaned = super().clean() or {}
        self.require_whole({"limit": "Choose what it limits.", "page": "Enter it."})
        if cleaned.get("limit"):
            key, rule, points = LIMITS[cleaned["limit"]]
            low, high = (_reading(self, name, key) for name in ("low", "high"))
            self.target = Target(key, rule, points, low, high, cleaned.get("page", ""))
        return cleaned


class TargetLines(Lines):
    """The targets of one model."""

    legend = "Targets"
    hint = "From the maker's manual only, such as 13 and 15, or 1/4 and 3/8."
    more_words = "More targets"
    shown = 3

    def targets(self) -> list[Target]:
        """Return the targets as entered."""
        return [one.target for one in self.forms if one.target]


class AdjusterLine(Line):
    """One adjuster: what it moves, what a hand does both ways, and its page."""

    named = "moves"

    moves = PickField(
        label="Moves", words=MOVE_WORDS, empty="Choose one", required=False
    )
    name = LineField(label="Adjuster", most=60, required=False)
    turn = LineField(
        label="What to do",
        most=80,
        required=False,
        help_text="Such as: Turn the left link nut clockwise.",
    )
    way = PickField(label="That", words=_WAYS, empty="Choose one", required=False)
    turn_back = LineField(label="The other way", most=80, required=False)
    per_turn = LineField(label="One turn moves it", most=40, required=False)
    page = LineField(label="Page of the manual", most=80, required=False)

    adjuster: Adjuster | None = None

    def clean(self) -> dict[str, Any]:
        """Ask for the whole line; make the adjuster."""
        cleaned = super().clean() or {}
        self.require_whole(
            {
                "moves": "Choose what it moves.",
                "name": "Enter its name.",
                "turn": "Enter what to do.",
                "way": "Choose one.",
                "turn_back": "Enter the other way.",
                "page": "Enter it.",
            }
        )
        if cleaned.get("moves"):
            line, point = MOVES[cleaned["moves"]]
            step = _reading(self, "per_turn", line)
            self.adjuster = Adjuster(
                line,
                f"{line}-{point}",
                cleaned.get("name", ""),
                (point,),
                cleaned.get("turn", ""),
                cleaned.get("turn_back", ""),
                raises=cleaned.get("way") == "raises",
                page=cleaned.get("page", ""),
                per_turn=step.base if step else None,
            )
        return cleaned


class AdjusterLines(Lines):
    """The adjusters of one model."""

    legend = "Adjusters"
    hint = "Leave a line empty where the manual does not say which way it moves."
    more_words = "More adjusters"
    shown = 1

    def adjusters(self) -> list[Adjuster]:
        """Return the adjusters as entered."""
        return [one.adjuster for one in self.forms if one.adjuster]


class ModelEntryForm(LinedForm):
    """Enter what the maker's manual says of a model; the next entry counts."""

    creates = True
    act = "Save the entry"
    line_sets_of: ClassVar[dict[str, Any]] = {
        "target": lines_of(TargetLine, TargetLines, most=MOST_TARGETS),
        "adjuster": lines_of(AdjusterLine, AdjusterLines, most=MOST_ADJUSTERS),
    }

    kind = PickField(label="Kind of machine", words=KIND_WORDS, missing="Choose one.")
    manual = LineField(
        label="Manual",
        most=120,
        missing="Enter the manual's name and number.",
        help_text="Its name and number.",
    )

    def rows(self) -> list[Any]:
        """Return the kind and the manual, then the targets and the adjusters."""
        return [
            Row("kind", "manual"),
            LinesLayout(self.line_sets["target"]),
            LinesLayout(self.line_sets["adjuster"]),
        ]


def initial_of(targets: list[Target], adjusters: list[Adjuster]) -> dict[str, Any]:
    """Return what the form shows of the entry that counts now."""
    return {
        "target": [
            {
                "limit": f"{one.line}|{one.rule}|{','.join(one.points)}",
                "low": str(one.low) if one.low else "",
                "high": str(one.high) if one.high else "",
                "page": one.page,
            }
            for one in targets
        ],
        "adjuster": [
            {
                "moves": f"{one.line}|{one.points[0]}",
                "name": one.label,
                "turn": one.turn,
                "way": "raises" if one.raises else "lowers",
                "turn_back": one.turn_back,
                "per_turn": str(Quantity(one.per_turn, UNITS_OF[one.line]))
                if one.per_turn is not None
                else "",
                "page": one.page,
            }
            for one in adjusters
        ],
    }

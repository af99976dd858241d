"""The house's own tags: clocks, crates, money, identifiers, marks.

They draw what they are given. A template tag asks no question of the database.
"""

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime, tzinfo
from typing import Any, Protocol, TypeGuard

from django import forms, template
from django.db.models import Model
from django.utils.html import format_html

from inventory.addresses import address_of
from inventory.models import Location
from inventory.rules.core.life import Life
from inventory.rules.crates.unfolded import FACES, board_of, face_of
from inventory.rules.reckoning import moments
from inventory.rules.reckoning.calendars import MONTHS
from inventory.rules.reckoning.measures import length_in
from inventory.rules.reckoning.money import amount_words
from inventory.rules.reckoning.months import CalendarMonth
from inventory.rules.reckoning.ruler import Ruler, lay_ruler
from inventory.views.core.clock import today_in

Place = Location | tzinfo

_DASH = "\N{EM DASH}"

register = template.Library()

_PART_WORDS: dict[type[forms.Widget], str] = {
    forms.DateInput: "date",
    forms.TimeInput: "time",
}

_STATES = {
    "calm": "On time",
    "running": "Running",
    "late": "Late",
    "kept": "Met",
    "done": "Done",
    "missing": "Missing",
    "clear": "No visible damage",
    "refused": "Refused",
    "plain": "",
}


class Lived(Protocol):
    """A row with a life: its model names the life, the row is in one state of it."""

    @property
    def life(self) -> Life[Any]:
        """Return the life of its kind."""
        ...

    @property
    def state(self) -> str:
        """Return the key of its state."""
        ...


def _look_up(thing: object, name: str) -> Any:  # noqa: ANN401 - as a template would
    if isinstance(thing, Mapping):
        return thing.get(name)
    return getattr(thing, name, None)


def _as_date(value: object) -> date | None:
    if isinstance(value, datetime):
        return value.date()
    return value if isinstance(value, date) else None


def _ruler_of(deadline: object) -> Ruler | None:
    starts_on = _as_date(_look_up(deadline, "starts_on"))
    due = _as_date(_look_up(deadline, "due"))
    if starts_on is None or due is None:
        return None
    kept = _look_up(deadline, "state") == "kept"
    today = None if kept else _as_date(_look_up(deadline, "today"))
    safe = _as_date(_look_up(deadline, "safe"))
    return lay_ruler(starts_on=starts_on, due=due, today=today, safe=safe)


@register.inclusion_tag("parts/clock.html")
def clock(deadline: object, level: int = 3) -> dict[str, object]:
    """Draw one deadline: its ruler of days and its sentence.

    `deadline` has (as attributes or keys) label, owed_by, due, safe, send_by,
    starts_on, today, state, words, authority, steps and effect; any may be missing.
    """
    return {"deadline": deadline, "ruler": _ruler_of(deadline), "level": level}


@register.inclusion_tag("parts/status.html")
def status(state: str, word: str = "") -> dict[str, object]:
    """Draw a state as a mark and a word; the word defaults to the state's own."""
    return {"state": state, "word": word or _STATES.get(state, state)}


@register.simple_block_tag
def link(content: str, row: Model | None, css: str = "") -> str:
    """Link what stands inside to the page of a row; plain text where it has none."""
    address = address_of(row)
    if not address:
        return content
    if not css:
        return format_html('<a href="{}">{}</a>', address, content)
    return format_html('<a class="{}" href="{}">{}</a>', css, address, content)


@register.inclusion_tag("parts/status.html")
def state(row: Lived) -> dict[str, object]:
    """Draw the state of a row that has a life, as a mark and its words."""
    found = row.life.states[row.state]
    return {"state": found.tone, "word": found.words}


@register.filter
def tone(row: Lived) -> str:
    """Return the tone of the row's state: running, late, kept, done or plain."""
    return row.life.states[row.state].tone


@register.simple_tag(takes_context=True)
def page_url(context: template.Context, number: int, name: str = "page") -> str:
    """Return this address with another page of one of its lists."""
    asked = context["request"].GET.copy()
    asked[name] = str(number)
    return f"?{asked.urlencode()}"


@register.inclusion_tag("parts/crate_picker.html")
def crate_picker(field: forms.BoundField) -> dict[str, object]:
    """Lay a choice field's radios or checkboxes out as the unfolded crate.

    Choices other than the seven faces follow below as ordinary rows.
    """
    widget: Any = field.field.widget
    attrs = field.build_widget_attrs({"id": field.auto_id})
    chosen = widget.format_value(field.value())
    faces, others = [], []
    for _, options, _ in widget.optgroups(field.html_name, chosen, attrs):
        for option in options:
            value = str(option["value"])
            if value in FACES:
                faces.append(face_of(value) | {"option": option})
            else:
                others.append(option)
    return {"faces": faces, "others": others}


@register.inclusion_tag("parts/chips.html")
def chips(field: forms.BoundField) -> dict[str, object]:
    """Lay a choice field's radios or checkboxes out as chips.

    A field that says ``first`` shows so many; the others fold behind More, which is
    open where one of them is chosen.
    """
    widget: Any = field.field.widget
    attrs = field.build_widget_attrs({"id": field.auto_id})
    chosen = widget.format_value(field.value())
    groups = widget.optgroups(field.html_name, chosen, attrs)
    options = [option for _, group, _ in groups for option in group]
    first = vars(field.field).get("first", len(options))
    rest = options[first:]
    is_open = any(option["selected"] for option in rest)
    return {"first": options[:first], "rest": rest, "is_open": is_open}


@register.inclusion_tag("parts/crate_drawing.html")
def crate_drawing(marked: Iterable[str] = (), title: str = "") -> dict[str, object]:
    """Draw the unfolded crate with crosses on the marked sides, read-only."""
    hit = frozenset(marked)
    faces = [
        face_of(value) | board_of(value) | {"hit": value in hit} for value in FACES
    ]
    names = [str(face["name"]).lower() for face in faces if face["hit"]]
    words = f"Damage marked on: {', '.join(names)}" if names else "No side is marked"
    return {"faces": faces, "title": title or words}


@register.simple_tag
def boxes(field: forms.BoundField) -> forms.BoundField:
    """Draw the boxes of a field typed into several, each with a spoken name.

    A legend names them all; without this the second box would have no name.
    """
    widget: Any = field.field.widget
    for number, part in enumerate(widget.widgets, start=1):
        word = _PART_WORDS.get(type(part), f"part {number}")
        part.attrs.setdefault("aria-label", f"{field.label}, {word}")
    return field


@register.filter
def money(cents: object, currency: str) -> str:
    """Write integer cents as an amount: 123456 -> "$1,234.56"; else a dash."""
    return amount_words(cents, currency) if isinstance(cents, int) else _DASH


@register.filter
def ident(value: object) -> str:
    """Set an identifier (serial, PRO, crate mark) in the monospaced face."""
    if value in (None, ""):
        return "\N{EM DASH}"
    return format_html('<span class="ident">{}</span>', value)


register.filter(length_in)


@register.filter
def day(value: object) -> str:
    """Write a day so that no order can be mistaken: "Wed 25 Nov 2026"."""
    return moments.day_words(value, None) if _is_day(value) else _DASH


@register.filter
def day_words(value: object, place: Place | None = None) -> str:
    """Write a day as people read it: "Wed 25 Nov", with the year where it is not this.

    ``place`` is the location whose year is meant; without one it is the year in UTC.
    """
    if not _is_day(value):
        return _DASH
    return moments.day_words(value, today_in(_zone(place) if place else UTC))


@register.filter
def month(value: object) -> str:
    """Write the month of a day: "November 2026"."""
    return str(CalendarMonth.of(value)) if _is_day(value) else _DASH


@register.filter
def month_key(value: object) -> str:
    """Write the month of a day as an address has it: "2026-11"."""
    return CalendarMonth.of(value).key if _is_day(value) else ""


@register.filter
def day_mark(value: object) -> str:
    """Write a day for the mark on a ruler: "25 Nov"."""
    return f"{value.day} {MONTHS[value.month - 1]}" if _is_day(value) else _DASH


@register.filter
def dock_time(moment: object, place: Place) -> str:
    """Write a moment on the clock of a location: "Wed 25 Nov, 5:00 AM"."""
    if not isinstance(moment, datetime):
        return _DASH
    return moments.dock_time(moment, _zone(place), today_in(_zone(place)))


@register.filter
def dock_hour(moment: object, place: Place) -> str:
    """Write the time of day on the clock of a location: "5:00 AM"."""
    return (
        moments.dock_hour(moment, _zone(place))
        if isinstance(moment, datetime)
        else _DASH
    )


def _is_day(value: object) -> TypeGuard[date]:
    """Say whether it is a day. A moment is on no day before its dock is known."""
    if isinstance(value, datetime):
        raise TypeError("A moment is written by dock_time, with its location.")
    return isinstance(value, date)


def _zone(place: Place) -> tzinfo:
    return place if isinstance(place, tzinfo) else place.zone

"""A model's entry as plain values: exact figures, units, the text and page as typed."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.readings import POINTS, short
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.targets import TARGET_RULES, Target
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.quantities import UNITS, Quantity


def model_key(model: str) -> str:
    """Return the key under which a model's entry is found: case and spaces aside."""
    return " ".join(model.upper().split())


def quantity_record(quantity: Quantity) -> dict[str, str]:
    """Return a reading as plain values."""
    return {
        "figure": str(quantity.figure),
        "unit": quantity.unit,
        "text": quantity.text,
    }


def quantity_from(record: Mapping[str, str]) -> Quantity:
    """Return a stored reading."""
    return Quantity(Fraction(record["figure"]), record["unit"], record["text"])


def readings_record(readings: Mapping[str, Quantity]) -> list[dict[str, str]]:
    """Return the readings of a line as plain values, in the order of the points."""
    return [
        {"point": point, **quantity_record(readings[point])}
        for point in POINTS
        if point in readings
    ]


def readings_from(records: Iterable[Mapping[str, str]]) -> dict[str, Quantity]:
    """Return stored readings by point."""
    return {record["point"]: quantity_from(record) for record in records}


def readings_words(readings: Mapping[str, Quantity]) -> str:
    """Return readings as they are said: left 3 3/4 in, right 4 in."""
    return ", ".join(
        f"{mid_sentence(POINTS[point].label)} {short(reading)}"
        if POINTS[point].said
        else short(reading)
        for point, reading in readings.items()
    )


def target_record(target: Target) -> dict[str, Any]:
    """Return a target as plain values."""
    return {
        "line": target.line,
        "rule": target.rule,
        "points": list(target.points),
        "low": quantity_record(target.low) if target.low else None,
        "high": quantity_record(target.high) if target.high else None,
        "page": target.page,
    }


def target_from(record: Mapping[str, Any]) -> Target:
    """Return a stored target."""
    low, high = (
        quantity_from(record[name]) if record[name] else None
        for name in ("low", "high")
    )
    return Target(
        record["line"],
        record["rule"],
        tuple(record["points"]),
        low,
        high,
        record["page"],
    )


def adjuster_record(adjuster: Adjuster) -> dict[str, Any]:
    """Return an adjuster as plain values; its figures are in the base unit."""
    record = {**vars(adjuster), "points": list(adjuster.points)}
    for name in ("per_turn", "travel"):
        record[name] = None if record[name] is None else str(record[name])
    return record


def adjuster_from(record: Mapping[str, Any]) -> Adjuster:
    """Return a stored adjuster."""
    values = {**record, "points": tuple(record["points"])}
    for name in ("per_turn", "travel"):
        values[name] = None if values[name] is None else Fraction(values[name])
    return Adjuster(**values)


def why_not_entry(
    lines: Sequence[SetupLine], targets: Sequence[Target], adjusters: Sequence[Adjuster]
) -> tuple[str, ...]:
    """Return every reason against these as the entry of a model of this list."""
    asked = {line.key: line for line in lines if line.readings}
    found = []
    for target in targets:
        line = asked.get(target.line)
        if line is None or line.readings is None:
            found.append(f"There is no line with readings called {target.line}.")
            continue
        found += _target_faults(target, line.label, line.readings.points)
        dimension = UNITS[line.readings.unit].dimension
        limits = [one for one in (target.low, target.high) if one is not None]
        if any(one.dimension != dimension for one in limits):
            found.append(f"{line.label}: the unit does not measure this.")
    for adjuster in adjusters:
        line = asked.get(adjuster.line)
        points = line.readings.points if line and line.readings else ()
        if not adjuster.points or not set(adjuster.points) <= set(points):
            found.append(f"{adjuster.label}: choose which readings it moves.")
        if not (adjuster.turn.strip() and adjuster.turn_back.strip()):
            found.append(f"{adjuster.label}: enter what to turn, both ways.")
        if not adjuster.page.strip():
            found.append(f"{adjuster.label}: enter the page of the manual.")
    return tuple(found)


def _target_faults(target: Target, label: str, points: tuple[str, ...]) -> list[str]:
    found = []
    if not target.page.strip():
        found.append(f"{label}: enter the page of the manual.")
    wanted = {"each": 1, "apart": 2, "lower": 2}.get(target.rule, 0)
    too_many = target.rule == "lower" and len(target.points) > 2
    unknown = not set(target.points) <= set(points)
    if target.rule not in TARGET_RULES or unknown:
        found.append(f"{label}: choose which readings it limits.")
    elif len(target.points) < wanted or too_many:
        found.append(f"{label}: choose the two readings to compare.")
    if target.low is None and target.high is None:
        found.append(f"{label}: enter the lowest or the highest allowed.")
    if target.low and target.high and target.low.base > target.high.base:
        found.append(f"{label}: the lowest allowed is above the highest.")
    return found

"""The setup list of each kind of machine, and what a version by the manager must keep.

A kind without a list of its own uses the general one.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace

from claims.rules.bench import setup_lines as lines
from claims.rules.bench.cautions import BY_KEY as CAUTIONS
from claims.rules.bench.readings import MEASURES, POINTS, REAR_WHEELS, ReadingSet
from claims.rules.bench.setup_lines import SetupLine

GENERAL = (
    *lines.PAPERS,
    lines.TIRES,
    lines.LUG_NUTS,
    lines.BATTERY,
    lines.LITHIUM,
    lines.OIL,
    lines.HYDRAULICS,
    lines.COOLANT,
    lines.FUEL,
    lines.DECK,
    replace(lines.BLADES, always=False),
    lines.BELTS,
    lines.GUARDS,
    lines.DECALS,
    lines.ROPS,
    lines.ROPS_BOLTS,
    lines.CONTROLS,
    lines.BRAKES,
    replace(lines.SWITCHES, always=False),
    *lines.CLOSING,
)

RIDE_ON = (
    *lines.PAPERS,
    lines.TIRES,
    replace(lines.LUG_NUTS, readings=ReadingSet("torque", REAR_WHEELS)),
    lines.BATTERY,
    lines.LITHIUM,
    lines.OIL,
    lines.HYDRAULICS,
    lines.PURGE,
    lines.BYPASS,
    lines.FUEL,
    lines.ROPS,
    lines.ROPS_BOLTS,
    lines.BELTS,
    lines.BLADES,
    lines.DECK,
    lines.LEVEL,
    lines.GUARDS,
    lines.DECALS,
    lines.CONTROLS,
    lines.LAP_BARS,
    lines.BRAKES,
    lines.SWITCHES,
    lines.BLADE_STOP,
    lines.TRACKING,
    *lines.CLOSING,
)

SNOW_THROWER = (
    *lines.PAPERS,
    lines.TWO_TIRES,
    lines.OIL,
    lines.FUEL,
    lines.AUGER,
    lines.SHOES,
    lines.CHUTE,
    lines.DRIVE,
    lines.BELTS,
    lines.GUARDS,
    lines.DECALS,
    lines.CONTROLS,
    lines.LEVERS,
    *(line for line in lines.CLOSING if line.key != "hours"),
)


@dataclass(frozen=True)
class MachineKind:
    """One kind of machine; ``own`` is its list, empty for the general one."""

    key: str
    label: str
    own: tuple[SetupLine, ...] = ()

    @property
    def lines(self) -> tuple[SetupLine, ...]:
        """Return the list of this kind."""
        return self.own or GENERAL


_TABLE = (
    MachineKind("general", "Other machine with an engine"),
    MachineKind("ride-on-mower", "Ride-on mower", RIDE_ON),
    MachineKind("snow-thrower", "Walk-behind snow thrower", SNOW_THROWER),
    MachineKind("tractor", "Tractor"),
    MachineKind("loader", "Loader"),
    MachineKind("utility-vehicle", "Utility vehicle"),
)

KINDS = {kind.key: kind for kind in _TABLE}
"""Every kind of machine that has a list from the start."""


def as_records(found: Iterable[SetupLine]) -> list[dict[str, object]]:
    """Return the lines as plain values, to be stored with a version."""
    return [asdict(line) for line in found]


def from_records(records: Iterable[Mapping[str, object]]) -> tuple[SetupLine, ...]:
    """Return the lines of a stored version."""
    return tuple(_line(dict(record)) for record in records)


def _line(record: dict[str, object]) -> SetupLine:
    readings = record.pop("readings", None)
    after = record.pop("after", ())
    asked = None
    if isinstance(readings, Mapping):
        asked = ReadingSet(str(readings["measure"]), tuple(readings["points"]))
    names = tuple(after) if isinstance(after, list | tuple) else ()
    return SetupLine(**record, readings=asked, after=names)  # type: ignore[arg-type]


def why_not_version(kind: str, found: Sequence[SetupLine]) -> tuple[str, ...]:
    """Return every reason against this as the next version of a kind's list.

    A safety line of the list we ship may be reworded and moved, never dropped.
    """
    keys = [line.key for line in found]
    reasons = []
    if not found:
        reasons.append("The list is empty.")
    twice = sorted({key for key in keys if keys.count(key) > 1})
    reasons += [f"The line {key} is there twice." for key in twice]
    by_key = {line.key: line for line in found}
    for own in KINDS[kind].lines:
        kept = by_key.get(own.key)
        if own.never_open and kept is None:
            reasons.append(f"{own.label} is a safety line and must stay.")
        elif kept and own.never_open > kept.never_open:
            reasons.append(f"{own.label} must stay a safety line.")
        elif kept and own.always > kept.always:
            reasons.append(f"{own.label} cannot become N/A on this kind of machine.")
    for line in found:
        reasons += _faults(line, by_key)
    return tuple(reasons)


def _faults(line: SetupLine, by_key: Mapping[str, SetupLine]) -> list[str]:
    found = []
    if not line.label.strip():
        found.append("A line has no words.")
    if line.caution and line.caution not in CAUTIONS:
        found.append(f"{line.label}: there is no such caution.")
    asked = line.readings
    if asked and (
        asked.measure not in MEASURES
        or not asked.points
        or not set(asked.points) <= POINTS.keys()
    ):
        found.append(f"{line.label}: choose what is read, and where.")
    found += [
        f"{line.label} waits for a line that is not on the list."
        for key in line.after
        if key not in by_key
    ]
    return found

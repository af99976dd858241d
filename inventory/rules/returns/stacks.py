"""Which empties go where on a trailer's floor, in what stacks: whole millimeters.

Crates of one type are stacked: the lowest at its full height, each further
one adds its nested height. Stacks of one type are in rows across the trailer, all
turned the same way; types follow each other from the nose. It is a plan by measures
alone: weight, axles and securing are the carrier's to decide.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.rules.reckoning.measures import length_in

MOST_MM = 1_000_000


@dataclass(frozen=True)
class Trailer:
    """A trailer's inside: length, width and height in millimeters."""

    length_mm: int
    width_mm: int
    height_mm: int


LONG_VAN = Trailer(16_000, 2_500, 2_700)
"""The inside of a 53 foot dry van, about (from memory): measure the trailer that arrives."""


@dataclass(frozen=True)
class Load:
    """A number of crates of one type. None: that measure is not known."""

    name: str
    count: int
    length_mm: int | None
    width_mm: int | None
    height_mm: int | None
    nested_mm: int | None = None
    most_stacked: int = 1


@dataclass(frozen=True)
class Stacking:
    """How one type is loaded: its stacks, its rows, and what stays behind.

    ``fits`` + ``left`` is the count. ``problem`` says why none of it is planned.
    """

    name: str
    count: int
    fits: int = 0
    stacks: int = 0
    per_stack: int = 0
    stack_mm: int = 0
    across: int = 0
    rows: int = 0
    floor_mm: int = 0
    is_turned: bool = False
    problem: str = ""

    @property
    def left(self) -> int:
        """Return how many crates do not fit."""
        return self.count - self.fits


@dataclass(frozen=True)
class StackPlan:
    """The stacks of every type, and the floor that they take."""

    trailer: Trailer
    stackings: tuple[Stacking, ...]

    @property
    def floor_mm(self) -> int:
        """Return the length of floor taken, from the nose."""
        return sum(row.floor_mm for row in self.stackings)

    @property
    def fits(self) -> int:
        """Return how many crates fit."""
        return sum(row.fits for row in self.stackings)

    @property
    def left(self) -> int:
        """Return how many do not fit, those without measures included."""
        return sum(row.left for row in self.stackings)

    def words_in(self, unit: str) -> str:
        """Return the plan in one sentence, in meters ("m") or feet ("ft")."""
        taken = length_in(self.floor_mm, unit)
        whole = length_in(self.trailer.length_mm, unit)
        if not self.left:
            return f"All {self.fits} fit on {taken} of the {whole} floor."
        return (
            f"{self.fits} fit on {taken} of the {whole} floor; {self.left} do not fit."
        )


def plan_stacks(loads: Iterable[Load], trailer: Trailer) -> StackPlan:
    """Return the stacks of these loads on this trailer's floor.

    The longest footprints come first, types of the same footprint by name. Raise
    ValueError for a trailer without length, width or height.
    """
    if min(trailer.length_mm, trailer.width_mm, trailer.height_mm) < 1:
        raise ValueError("A trailer needs a length, a width and a height.")
    free = trailer.length_mm
    made = []
    for load in sorted(loads, key=_order):
        stacking = _stand(load, trailer, free)
        free -= stacking.floor_mm
        made.append(stacking)
    return StackPlan(trailer, tuple(made))


def _order(load: Load) -> tuple[int, int, str]:
    sides = (load.length_mm or 0, load.width_mm or 0)
    return (-max(sides), -min(sides), load.name)


def _stand(load: Load, trailer: Trailer, free: int) -> Stacking:
    length, width, height = load.length_mm, load.width_mm, load.height_mm
    if not (length and width and height):
        return Stacking(load.name, load.count, problem="Its measures are not known.")
    if height > trailer.height_mm:
        return Stacking(load.name, load.count, problem="It is taller than the trailer.")
    per_stack = _per_stack(load, height, trailer.height_mm)
    stacks = -(-load.count // per_stack)
    ways = [
        (across, deep, turned)
        for across, deep, turned in (
            (trailer.width_mm // width, length, False),
            (trailer.width_mm // length, width, True),
        )
        if across
    ]
    if not ways:
        return Stacking(load.name, load.count, problem="It is wider than the trailer.")
    across, deep, turned = min(ways, key=lambda way: (-(-stacks // way[0])) * way[1])
    rows = min(-(-stacks // across), free // deep)
    stood = min(stacks, rows * across)
    fits = min(load.count, stood * per_stack)
    tallest = min(per_stack, fits)
    return Stacking(
        name=load.name,
        count=load.count,
        fits=fits,
        stacks=stood,
        per_stack=per_stack,
        stack_mm=height + (tallest - 1) * _added(load, height) if fits else 0,
        across=across,
        rows=rows,
        floor_mm=rows * deep,
        is_turned=turned,
        problem="" if fits else "No floor is left for it.",
    )


def _added(load: Load, height: int) -> int:
    return load.nested_mm or height


def _per_stack(load: Load, height: int, most_mm: int) -> int:
    by_height = 1 + (most_mm - height) // _added(load, height)
    return max(1, min(load.most_stacked, by_height))

"""Counted against billed, in the bill's own unit, over every truck of the bill."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class TruckCount:
    """What one truck delivered of a freight bill; None where it was not counted.

    Refused pieces were tendered, so ``pieces`` includes them.
    """

    pieces: int | None
    rest_to_follow: bool = False


@dataclass(frozen=True)
class Count:
    """A bill's count: ``state`` is agrees, over, short, part or unknown.

    ``counted`` sums the trucks that were counted. ``difference`` is counted less
    billed where both are known. ``sentence`` says all of it.
    """

    state: str
    counted: int
    billed: int | None
    difference: int
    sentence: str

    @property
    def is_wrong(self) -> bool:
        """Return whether the count is an exception to write on the receipt."""
        return self.state in {"over", "short"}


def pieces_in_words(number: int, unit: str) -> str:
    """Return "1 crate", "4 skids": the number with the bill's piece unit."""
    return f"{number} {unit}" if number == 1 else f"{number} {unit}s"


def compare_count(
    *, billed: int | None, unit: str, trucks: Sequence[TruckCount]
) -> Count:
    """Return the count compared with what was billed.

    A bill is short only when every truck was counted and the last one left nothing
    to follow; it is over as soon as more pieces are counted than billed.
    """
    known = [truck.pieces for truck in trucks if truck.pieces is not None]
    counted = sum(known)
    is_whole = bool(trucks) and len(known) == len(trucks)
    if billed is None or not (is_whole or counted > billed):
        return _unknown(billed, counted, unit, has_any=bool(known))
    difference = counted - billed
    both = f"{pieces_in_words(billed, unit)} billed, {counted} counted"
    if difference > 0:
        words = f"{both}: {pieces_in_words(difference, unit)} over."
        return Count("over", counted, billed, difference, words)
    if difference == 0:
        return Count("agrees", counted, billed, 0, f"{both}: the count agrees.")
    missing = pieces_in_words(-difference, unit)
    if trucks[-1].rest_to_follow:
        words = f"{both}: partial delivery, {missing} to follow."
        return Count("part", counted, billed, difference, words)
    return Count("short", counted, billed, difference, f"{both}: {missing} short.")


def _unknown(billed: int | None, counted: int, unit: str, *, has_any: bool) -> Count:
    if billed is None and has_any:
        words = (
            f"{pieces_in_words(counted, unit)} counted. Pieces billed not known yet."
        )
    elif billed is None:
        words = "Not counted. Pieces billed not known yet."
    elif has_any:
        words = (
            f"{pieces_in_words(billed, unit)} billed, {counted} counted so far; one "
            "truck not counted yet."
        )
    else:
        words = f"{pieces_in_words(billed, unit)} billed, not counted yet."
    return Count("unknown", counted, billed, 0, words)

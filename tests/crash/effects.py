"""What can go wrong at a step, what a step changed, and what of it may survive."""

import itertools
import random
from dataclasses import dataclass

ALL_SUBSETS_UP_TO = 7
"""Unsynced effects of which every combination is tried; above, some hundred are."""


class StoppedError(BaseException):
    """The power is off. Nothing in the program may catch it."""


@dataclass(frozen=True)
class Fault:
    """What happens at one step, counted from 0.

    ``how``: "stop" before the step, "stop within" it (half the bytes of a write),
    "stop after" it, or an errno: the step is refused, "and did happen" all the same,
    or it and "all later ones" are refused; or "visit": another program comes first.
    """

    step: int
    how: str | int
    and_did_happen: bool = False
    all_later_ones: bool = False

    def is_met_by(self, step):
        return step == self.step or (self.all_later_ones and step > self.step)


@dataclass
class Effect:
    """One change: a name in a folder (``file`` None takes it away), or bytes."""

    place: int
    name: str = ""
    file: int | None = None
    offset: int = 0
    data: bytes | None = None
    is_synced: bool = False
    is_gone: bool = False


def combinations(loose):
    """Yield the sets of loose effects that may survive together."""
    if len(loose) <= ALL_SUBSETS_UP_TO:
        for count in range(len(loose) + 1):
            yield from map(set, itertools.combinations(loose, count))
        return
    yield set()
    yield set(loose)
    for one in loose:
        yield {one}
        yield set(loose) - {one}
    draw = random.Random(20_261_125)
    for _ in range(200):
        yield {number for number in loose if draw.random() < 0.5}

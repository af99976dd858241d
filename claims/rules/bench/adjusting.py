"""Whether what is not right looks like damage or like something to adjust, and why.

Only an opinion: the technician decides, and the first reading stays whatever follows.
Common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from claims.rules.bench.readings import in_unit, short

SIGNS = {
    "bent": "Bent",
    "cracked": "Cracked",
    "broken": "Broken",
    "missing": "Missing",
    "leaking": "Leaks",
    "loose": "Loose",
}
"""What a person can see on a part; the keys are kinds of damage, too."""

_DAMAGE_SIGNS = frozenset({"bent", "cracked", "broken", "missing", "leaking"})

LOOKS_LIKE = {
    "adjustment": "Looks like an adjustment",
    "damage": "Looks like damage",
    "undecided": "Not clear yet",
}

BEFORE_A_WRENCH = (
    "Before a wrench touches it: save the reading as found and a photo of it. The "
    "notice clock runs until it is decided, so a notice is recommended."
)


@dataclass(frozen=True)
class Adjuster:
    """One adjuster of a model, as its entry says it, with the page of the manual.

    ``turn`` is what a hand does, such as "Turn the left link nut clockwise"; it
    ``raises`` or lowers its ``points``. ``per_turn`` is by how much, ``travel`` how far
    in all; both in the base unit, None where the manual does not say.
    """

    line: str
    key: str
    label: str
    points: tuple[str, ...]
    turn: str
    turn_back: str
    raises: bool
    page: str
    per_turn: Fraction | None = None
    travel: Fraction | None = None


@dataclass(frozen=True)
class WrongLine:
    """One line that is not right, as found.

    ``off`` are the amounts outside the limits, in the base unit; ``signs`` keys of
    SIGNS; ``adjusters`` those of the model's entry for this line. ``tries`` counts the
    readings after an adjustment; ``at_end`` says that the adjuster has no travel left.
    What ``is_set`` is brought to the maker's figure at every setup.
    """

    off: Sequence[Fraction] = ()
    unit: str = "in"
    signs: frozenset[str] = frozenset()
    adjusters: Sequence[Adjuster] = ()
    tries: int = 0
    at_end: bool = False
    has_first_reading: bool = False
    has_photo: bool = False
    is_set: bool = False


@dataclass(frozen=True)
class Opinion:
    """What it looks like, why, and what to do next, in order."""

    looks_like: str
    why: tuple[str, ...]
    steps: tuple[str, ...]

    @property
    def words(self) -> str:
        """Return what it looks like, in words."""
        return LOOKS_LIKE[self.looks_like]

    @property
    def notice_recommended(self) -> bool:
        """Return whether the notice should go out unless it is decided in time."""
        return self.looks_like != "adjustment"


_DAMAGE_STEPS = (
    "Stop. Do not straighten, tighten or run it.",
    "Photograph it: one from a step away, one close-up, one with a ruler.",
    "Record a finding. It takes the part, the place and the reading from this line.",
)


def opinion_of(found: WrongLine) -> Opinion:
    """Return what this looks like, with the reasons and the next steps."""
    damage = _damage_reasons(found)
    if damage:
        return Opinion("damage", tuple(damage), _DAMAGE_STEPS)
    if found.off and found.is_set:
        return Opinion("adjustment", (_SET_WHY,), (_SET_STEP,))
    if found.off and found.adjusters:
        names = " or ".join(one.label for one in found.adjusters)
        first = (
            f"Nothing bent, cracked or missing was marked, and {names} moves it "
            f"({found.adjusters[0].page})."
        )
        why = [first]
        if found.tries:
            why.append("It was adjusted once; the readings are not in range yet.")
        return Opinion(
            "adjustment",
            tuple(why),
            (*_keep_first(found), "Adjust it, then measure again at every point."),
        )
    return Opinion("undecided", _unclear(found), (*_keep_first(found), *_ASK))


_SET_WHY = "This is set at every setup, and no sign of damage was marked."
_SET_STEP = "Set it to the maker's figure, then read it again."

_ASK = (
    "Look for bent or rubbed parts next to it.",
    "Then decide: adjustment, damage, or ask the manager.",
)


def _damage_reasons(found: WrongLine) -> list[str]:
    reasons = [
        f"{SIGNS[sign]}: that is not put right by an adjustment."
        for sign in SIGNS
        if sign in found.signs & _DAMAGE_SIGNS
    ]
    if not found.off:
        return reasons
    if found.at_end:
        reasons.append(
            "The adjuster is at its end and the reading is still out of range: "
            "something is bent or wrongly built."
        )
    travels = [one.travel for one in found.adjusters]
    known = [one for one in travels if one is not None]
    worst = max(found.off)
    if travels and len(known) == len(travels) and worst > max(known):
        out, most = (short(in_unit(one, found.unit)) for one in (worst, max(known)))
        reasons.append(
            f"It is {out} out; the adjuster moves {most} in all "
            f"({found.adjusters[0].page})."
        )
    if found.tries >= 3:
        reasons.append("It was adjusted three times and is still out of range.")
    return reasons


def _unclear(found: WrongLine) -> tuple[str, ...]:
    why = []
    if "loose" in found.signs:
        why.append(
            "Loose: a fastener left loose at the factory and one shaken loose in "
            "transit look the same. Look for marks around it."
        )
    if found.off and not found.adjusters:
        why.append(
            "The model's entry does not say what adjusts this, so it is not known "
            "whether it moves."
        )
    if not why and found.has_first_reading:
        why.append("No sign of damage was marked, and no target says what is right.")
    return tuple(why) or ("No reading and no sign of damage was marked.",)


def _keep_first(found: WrongLine) -> tuple[str, ...]:
    if found.has_first_reading and found.has_photo:
        return ()
    return (BEFORE_A_WRENCH,)

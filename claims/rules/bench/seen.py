"""Whether a piece of damage could have been seen when the truck was here.

It decides which clock runs: what could be seen belongs on the receipt, what could
not is concealed and must be told to the delivering carrier within days. The rule
text speaks of damage that "could not have been determined at time of delivery"
(NMF 100 Item 300135, text seen); how a stage and a crate answer that question is
common practice, no source.
"""

from dataclasses import dataclass

HIDDEN_WHATEVER_THE_CRATE = frozenset({"defect", "loose", "wrong"})
"""Kinds that lie behind the boards however the crate looks."""

OUTSIDE_SIGNS = frozenset({"indicator", "tipped"})
"""Kinds that show on the outside while the crate is still closed."""

PIECE_COUNTS = frozenset({"short", "over"})
"""Kinds that a count of the pieces shows."""


@dataclass(frozen=True)
class Seen:
    """The answer, and the sentence that says how it was reached."""

    could_be_seen: bool
    reason: str


def crate_condition_from_look(look: str) -> str:
    """Return the crate's condition as the look at the tailgate left it.

    A crate with an exception, or refused, was marked; a clear one was sound; one
    nobody looked at says nothing.
    """
    return {"exception": "marked", "refused": "marked", "clear": "sound"}.get(look, "")


def could_be_seen(*, stage: str, crate_condition: str, damage_kind: str) -> Seen:
    """Say whether this could have been seen at delivery, with the reason in words.

    ``stage``, ``crate_condition`` and ``damage_kind`` are words of the vocabulary.
    Where nobody recorded the crate it is taken as visible: that it could not have
    been determined at delivery is for us to show, and then we could not. A person
    may correct the answer with a reason.
    """
    if stage == "tailgate":
        return Seen(
            could_be_seen=True,
            reason="It was found at the tailgate, while the truck was here.",
        )
    if stage == "count" and damage_kind in PIECE_COUNTS:
        return Seen(could_be_seen=True, reason="The count at delivery shows it.")
    if damage_kind in OUTSIDE_SIGNS:
        return Seen(
            could_be_seen=True,
            reason="It shows on the outside while the crate is still closed.",
        )
    if damage_kind in HIDDEN_WHATEVER_THE_CRATE:
        return Seen(
            could_be_seen=False,
            reason="It could be found only with the crate open, "
            "however the crate looked.",
        )
    return _by_condition(crate_condition)


def _by_condition(condition: str) -> Seen:
    if condition == "sound":
        return Seen(
            could_be_seen=False,
            reason="The crate was sound outside and this lay inside it.",
        )
    if condition == "none":
        return Seen(
            could_be_seen=True,
            reason="The machine came without a crate, so this stood in plain view.",
        )
    if condition == "marked":
        return Seen(
            could_be_seen=True,
            reason="The crate itself was marked or broken, which was a sign to look.",
        )
    return Seen(
        could_be_seen=True,
        reason="Nobody recorded how the crate looked, so it is taken as visible.",
    )

"""Whether damage could have been seen when the truck was here.

It decides which clock runs: what could be seen belongs on the receipt, what could
not is concealed and must be reported to the delivering carrier within days. The rule
text speaks of damage that "could not have been determined at time of delivery"
(NMF 100 Item 300135, text seen); how a stage and a crate answer that question is
common practice, no source.
"""

from dataclasses import dataclass

HIDDEN_WHATEVER_THE_CRATE = frozenset({"defect", "loose", "wrong"})
"""Kinds that are behind the boards whatever the crate's condition."""

OUTSIDE_SIGNS = frozenset({"indicator", "tipped"})
"""Kinds that show on the outside while the crate is still closed."""

PIECE_COUNTS = frozenset({"short", "over"})
"""Kinds that a count of the pieces shows."""


@dataclass(frozen=True)
class Seen:
    """The answer, and the reason for it."""

    could_be_seen: bool
    reason: str


def crate_condition_from_look(look: str) -> str:
    """Return the crate's condition as recorded by the inspection at delivery.

    A crate with an exception, or refused, was marked; a clear one was sound; one
    not inspected gives nothing.
    """
    return {"exception": "marked", "refused": "marked", "clear": "sound"}.get(look, "")


def could_be_seen(*, stage: str, crate_condition: str, damage_kind: str) -> Seen:
    """Return whether this could have been seen at delivery, with the reason.

    ``stage``, ``crate_condition`` and ``damage_kind`` are keys of the vocabulary.
    Where nobody recorded the crate it is taken as visible: that it could not have
    been determined at delivery is for us to show, and then we could not. A person
    may correct the answer with a reason.
    """
    if stage == "tailgate":
        return Seen(
            could_be_seen=True,
            reason="It was found at delivery, while the truck was here.",
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
            reason="It could be found only with the crate open, whatever the crate's "
            "condition.",
        )
    return _by_condition(crate_condition)


def _by_condition(condition: str) -> Seen:
    if condition == "sound":
        return Seen(
            could_be_seen=False,
            reason="The crate was OK outside and this was inside it.",
        )
    if condition == "none":
        return Seen(
            could_be_seen=True,
            reason="The machine was not crated, so this was in plain view.",
        )
    if condition == "marked":
        return Seen(
            could_be_seen=True,
            reason="The crate itself was marked or damaged, which was a sign to "
            "inspect further.",
        )
    return Seen(
        could_be_seen=True,
        reason="Nobody recorded the crate's condition, so this is taken as visible.",
    )

"""Advice for one damaged crate: take it with exceptions, or refuse it, and why.

Refused freight leaves our control while the loss may still be ours, so the rule is
to take it with the exceptions written. Former 41 CFR 101-40.701 (text seen)
directed federal receivers not to reject a damaged shipment whatever the damage, and
to protect and keep it; the exceptions to it here are common practice, no source.
"""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from inventory.rules.core.vocabulary import REFUSAL_REASONS

SUBJECT_TO_INSPECTION = (
    '"Subject to inspection" and "subject to count" do not help: the receipt still '
    "counts as clear. Write what is damaged and where."
)
"""Why general wording is useless. Former 41 CFR 101-40.701, text seen."""


@dataclass(frozen=True)
class Advice:
    """The advice, with its reasons; ``course`` is clear, accept, refuse-by-order or may-refuse."""

    course: str
    headline: str
    sentences: tuple[str, ...]


_KEEP = (
    "Keep the crate, blocking, wrap and labels, and leave everything as found until "
    "the carrier has inspected or has waived inspection in writing."
)
_WHY_ACCEPT = (
    "You lose sight of a refused crate, it may be sold, and the loss can still be "
    "yours."
)
_INDICATOR = (
    "A tripped indicator alone is no reason to refuse. Write down which one and "
    "where, photograph it before unpacking, and open this crate first."
)


def advise(*, damage_kinds: Collection[str], standing_order: str) -> Advice:
    """Return the advice for a crate with these kinds of damage.

    ``standing_order`` is none, accept or refuse, as the supplier's terms say. A
    tripped indicator is not damage, so it alone never leads to refusing.
    """
    kinds = frozenset(damage_kinds)
    damage = kinds - {"indicator"}
    if not kinds:
        return Advice("clear", "No damage found.", ())
    if not damage:
        return Advice("accept", "Take it and write the exception.", (_INDICATOR, _KEEP))
    if standing_order == "refuse":
        return Advice(
            "refuse-by-order",
            "The supplier's standing order: refuse damaged crates.",
            (
                (
                    "Write the reason on the receipt, and ask in writing what happens "
                    "to the crate."
                ),
            ),
        )
    if "leaking" in damage:
        return Advice(
            "may-refuse",
            "It is leaking. Stop, and keep people and flames away.",
            (
                (
                    "If it may be a battery or a chemical, leave it where it is and call "
                    "the manager, the carrier and the emergency number on the shipping "
                    "paper."
                ),
                (
                    "Otherwise keep it if it can be made safe here, and refuse it if it is "
                    "unsafe to unload. Write down what leaks and from where."
                ),
                _KEEP,
            ),
        )
    return Advice("accept", _accept_headline(standing_order), (_WHY_ACCEPT, _KEEP))


def _accept_headline(standing_order: str) -> str:
    if standing_order == "accept":
        return (
            "Take it with the exceptions written. The supplier's standing order "
            "says so too."
        )
    return (
        "Take it with the exceptions written. Refuse only what is practically "
        "worthless, unsafe to unload or not ours, or on the supplier's instruction."
    )


BATTERY_GOES_NOWHERE = (
    "A leaking or damaged battery does not go back on the road. Leave it where it is, "
    "keep people and flames away, and call the manager, the carrier and the emergency "
    "number on the shipping paper."
)
"""Damaged and defective batteries have shipping rules of their own (49 CFR 173.185(f)
for lithium, 173.159 for wet ones; from memory), which no clerk applies with a tap."""

_BATTERY = re.compile(r"\bbatter(?:y|ies)\b|\blithium\b|\bli-?ion\b", re.IGNORECASE)


def names_battery(texts: Iterable[str]) -> bool:
    """Return whether one of these texts speaks of a battery: a machine, mark or note."""
    return any(_BATTERY.search(text) for text in texts)


def may_refuse(
    *,
    reason: str,
    damage_kinds: Collection[str],
    standing_order: str,
    has_battery: bool = False,
) -> str:
    """Return the reason against refusing for this cause, or nothing.

    ``has_battery`` says that a battery is known to be in the crate. Raise KeyError
    for a cause that is not listed.
    """
    REFUSAL_REASONS[reason]
    if has_battery and set(damage_kinds) - {"indicator", "wrong"}:
        return BATTERY_GOES_NOWHERE
    if reason == "standing-order" and standing_order != "refuse":
        return (
            "This supplier has no standing order to refuse. Take the crate with the "
            "exception written, or choose another reason."
        )
    is_only_indicator = set(damage_kinds) == {"indicator"}
    if is_only_indicator and reason != "not-ours":
        return _INDICATOR
    return ""

"""Accept with exceptions, or refuse: what is advised for one crate, and why.

Refused freight leaves our sight while the loss may still be ours, so accepting
with the exceptions written is the rule. Former 41 CFR 101-40.701 (text seen) told
federal receivers not to reject a damaged shipment whatever the damage, and to
protect and keep it; the exceptions to it here are common practice, no source.
"""

from collections.abc import Collection
from dataclasses import dataclass

from inventory.rules.core.vocabulary import REFUSAL_REASONS

SUBJECT_TO_INSPECTION = (
    '"Subject to inspection" or "subject to count" does not help: the receipt then '
    "still counts as clear. Write what is wrong and where."
)
"""Why the general words are useless. Former 41 CFR 101-40.701, text seen."""


@dataclass(frozen=True)
class Advice:
    """``course`` is clear, accept, refuse-by-order or may-refuse; then the reasons."""

    course: str
    headline: str
    sentences: tuple[str, ...]


_KEEP = (
    "Keep the crate, blocking, wrap and labels, and leave everything as found until "
    "the carrier has inspected or has waived it in writing."
)
_WHY_ACCEPT = (
    "A refused crate goes out of your sight, may be sold, and can still be your loss."
)
_INDICATOR = (
    "A tripped indicator alone is no reason to refuse. Write down which one and where, "
    "photograph it before unpacking, and open this crate first."
)


def advise(*, damage_kinds: Collection[str], standing_order: str) -> Advice:
    """Return the advice for a crate with these kinds of damage.

    ``standing_order`` is none, accept or refuse, as the supplier's terms say. A
    tripped indicator is not damage: by itself it never leads to refusing.
    """
    kinds = frozenset(damage_kinds)
    damage = kinds - {"indicator"}
    if not kinds:
        return Advice("clear", "Nothing is written against it.", ())
    if not damage:
        return Advice(
            "accept", "Accept it and write the exception.", (_INDICATOR, _KEEP)
        )
    if standing_order == "refuse":
        return Advice(
            "refuse-by-order",
            "The supplier's standing order: refuse damaged crates.",
            ("Write why on the receipt, and ask in writing what becomes of it.",),
        )
    if "leaking" in damage:
        return Advice(
            "may-refuse",
            "It leaks: refuse it unless it can be made safe here.",
            (
                "Keep people and flames away, and write down what leaks and from where.",
                _KEEP,
            ),
        )
    return Advice("accept", _accept_headline(standing_order), (_WHY_ACCEPT, _KEEP))


def _accept_headline(standing_order: str) -> str:
    if standing_order == "accept":
        return "Accept with the exceptions written; the supplier's standing order too."
    return (
        "Accept with the exceptions written. Refuse only what is worthless, not ours, "
        "leaking or unsafe to unload."
    )


def may_refuse(
    *, reason: str, damage_kinds: Collection[str], standing_order: str
) -> str:
    """Return the sentence against refusing for this reason, or nothing.

    Raises KeyError for a reason that is not listed.
    """
    REFUSAL_REASONS[reason]
    if reason == "standing-order" and standing_order != "refuse":
        return (
            "There is no standing order to refuse from this supplier. Accept the crate "
            "with the exception written, or choose another reason."
        )
    is_only_indicator = set(damage_kinds) == {"indicator"}
    if is_only_indicator and reason != "not-ours":
        return _INDICATOR
    return ""

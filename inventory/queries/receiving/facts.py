"""The facts of an unloading as chips, each recorded or taken back by one tap."""

from dataclasses import dataclass

from inventory.models import Delivery
from inventory.rules.core import vocabulary as words


@dataclass(frozen=True)
class Chip:
    """One button: what it sends, what it says, whether that is recorded now."""

    name: str
    value: str
    label: str
    is_chosen: bool


@dataclass(frozen=True)
class ChipGroup:
    """The chips of one question."""

    label: str
    chips: tuple[Chip, ...]


def fact_groups(delivery: Delivery) -> list[ChipGroup]:
    """Return the questions in the order in which a truck is unloaded."""
    return [
        _choice("Who unloaded?", "unloaded_by", words.UNLOADED_BY, delivery),
        _choice("With what?", "unloaded_with", words.UNLOADED_WITH, delivery),
        _choice(
            "Seal, before the doors open",
            "seal_condition",
            words.SEAL_CONDITIONS,
            delivery,
        ),
        ChipGroup(
            "What the carrier will ask",
            (
                _tick(
                    "damaged_on_trailer",
                    "Damage seen on the trailer, before it was moved",
                    delivery,
                ),
                _tick("shippers_count", "Shipper's load and count", delivery),
            ),
        ),
    ]


def _choice(
    label: str, name: str, values: dict[str, str], delivery: Delivery
) -> ChipGroup:
    now = getattr(delivery, name)
    return ChipGroup(
        label,
        tuple(
            Chip(name, "" if key == now else key, word, key == now)
            for key, word in values.items()
        ),
    )


def _tick(name: str, label: str, delivery: Delivery) -> Chip:
    is_chosen = bool(getattr(delivery, name))
    return Chip(name, "no" if is_chosen else "yes", label, is_chosen)

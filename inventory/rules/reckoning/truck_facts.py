"""The facts of an unloading, as one tap records them and the history reads them."""

from collections.abc import Mapping
from datetime import datetime, tzinfo

from inventory.rules.core.vocabulary import (
    SEAL_CONDITIONS,
    UNLOADED_BY,
    UNLOADED_WITH,
)
from inventory.rules.reckoning.moments import dock_hour

YES_NO = {
    "damaged_on_trailer": (
        "Damage seen on the trailer, before it was moved",
        "No damage seen on the trailer",
    ),
    "shippers_count": (
        "Shipper's load and count on the bill",
        "Not shipper's load and count",
    ),
}
_TIMES = {"started_at": "Unloading started", "departed_at": "Driver left"}
_CHOICES = {
    "unloaded_by": ("Unloaded by", UNLOADED_BY),
    "unloaded_with": ("Unloaded with", UNLOADED_WITH),
    "seal_condition": ("Seal", SEAL_CONDITIONS),
}


def fact_words(fact: Mapping[str, object], zone: tzinfo) -> str:
    """Return "Unloading started 9:42 AM", "Unloaded by: our people".

    Raise KeyError for a value that is in no vocabulary.
    """
    return "; ".join(_one(name, value, zone) for name, value in fact.items())


def _one(name: str, value: object, zone: tzinfo) -> str:
    if name in YES_NO:
        return YES_NO[name][0 if value else 1]
    if name in _TIMES:
        label = _TIMES[name]
        if not isinstance(value, datetime):
            return f"{label}: not recorded"
        return f"{label} {dock_hour(value, zone)}"
    if name == "seal_number":
        return f"Seal number {value}" if value else "No seal number"
    label, words = _CHOICES[name]
    chosen = words[str(value)] if value else "not recorded"
    return f"{label}: {chosen[:1].lower()}{chosen[1:]}"

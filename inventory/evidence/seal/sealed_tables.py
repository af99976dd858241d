"""Which tables are sealed, and what else holds of them."""

from collections.abc import Callable, Iterator

from django.apps import apps
from django.db import models

from inventory.evidence.seal.snapshots import Snapshot
from inventory.models.sealed import Sealed

Comparer = Callable[[Snapshot], Iterator[str]]
"""Yields one sentence for each thing that does not hold in this snapshot."""

_comparers: dict[type[models.Model], Comparer] = {}


def register_sealed(model: type[models.Model], comparer: Comparer) -> None:
    """Have ``verify`` ask this too, after the rows were compared with their images.

    For what an image cannot say: that the legs of an entry come to nothing.
    """
    _comparers[model] = comparer


def sealed_models() -> list[type[models.Model]]:
    """Return every table whose rows must equal their last image, by name."""
    found = [model for model in apps.get_models() if issubclass(model, Sealed)]
    return sorted(found, key=lambda model: model._meta.label_lower)


def comparers() -> list[tuple[type[models.Model], Comparer]]:
    """Return what else was registered, by the table's name."""
    return sorted(_comparers.items(), key=lambda pair: pair[0]._meta.label_lower)

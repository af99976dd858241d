"""What the floor above tells the ground floor of itself, once, as Django starts.

The ground floor shows, guards and records more than it knows: it links to pages it
does not serve, checks acts it does not do and keeps tables it does not own. This is
the one place where it is told of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.apps import apps
from django.db.models import Model

from inventory import access, addresses, triggers
from inventory.rules.core import event_kinds, roles
from inventory.rules.core.registry import RegistrationError


@dataclass(frozen=True, kw_only=True)
class UpperFloor:
    """Everything that the ground floor must know of the floor above.

    ``pages`` are the URL names of the pages that show a kind of row, ``places`` those
    of the places that ``inventory/addresses.py`` names. ``location_paths`` say how a row
    leads to its location, ``append_only`` the tables that triggers guard, ``fixed`` the
    fields of other tables that they guard, ``acts`` who may do what, ``sentences`` and
    ``tones`` how its events read.
    """

    pages: Mapping[type[Model], str]
    places: Mapping[str, str]
    location_paths: Mapping[type[Model], str]
    append_only: tuple[type[Model], ...]
    fixed: Mapping[type[Model], tuple[str, ...]]
    acts: Mapping[str, frozenset[str]]
    sentences: Mapping[str, str]
    tones: Mapping[str, event_kinds.Tone]


def register(floor: UpperFloor) -> None:
    """Complete the ground floor's tables; call it in ``AppConfig.ready`` only.

    Raise RegistrationError once Django has started, and for a second floor.
    """
    if apps.ready:
        raise RegistrationError(
            "Django has started: the upper floor registers in AppConfig.ready only."
        )
    addresses.pages.complete(floor.pages)
    addresses.places.complete(floor.places)
    access.location_paths.complete(floor.location_paths)
    triggers.APPEND_ONLY.complete(triggers.tables_of(floor.append_only))
    triggers.FIXED.complete(triggers.fixed_columns(floor.fixed))
    roles.ACTS.complete(floor.acts)
    event_kinds.sentences.complete(floor.sentences)
    event_kinds.tones.complete(floor.tones)

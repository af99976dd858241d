"""What the floor above tells the ground floor of itself, once, as Django starts.

The ground floor shows, guards and records more than it knows: it links to pages it
does not serve, checks acts it does not do and keeps tables it does not own. This is
the one place where it is told of them.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from django.apps import apps
from django.db.models import Model

from inventory import (
    above,
    access,
    addresses,
    derived,
    errands,
    lists_above,
    searched,
    triggers,
)
from inventory.derived_shapes import Follower
from inventory.queries.imports.uses import MADE_WITH
from inventory.rules.core import event_kinds, roles
from inventory.rules.core.accounts import AccountKind
from inventory.rules.core.registry import RegistrationError
from inventory.rules.crates import words
from inventory.rules.imports.kinds import KINDS


@dataclass(frozen=True, kw_only=True)
class UpperFloor:
    """Everything that the ground floor must know of the floor above.

    ``pages`` are the URL names of the pages that show a kind of row, ``places`` those
    of the places that ``inventory/addresses.py`` names. ``location_paths`` say how a row
    leads to its location, ``append_only`` the tables that triggers guard, ``fixed`` the
    fields of other tables that they guard, ``acts`` who may do what, ``sentences`` and
    ``tones`` how its events read, ``errands`` who knows what people are to get.
    ``accounts`` and ``entries`` are its kinds of account, by kind of partner, and of
    entry in the ledger. ``says`` is what it adds to the page of a row, ``objects`` what
    it holds against undoing one, ``holds_up`` what it holds against a lock of the books. ``lists`` are its kinds of list from a file,
    ``made_with`` the tables whose rows such a list makes along with a row: they are no
    use of it. ``open_kinds`` is what the database keeps as open, ``search_kinds`` what is
    found by its numbers. ``followers`` are more triggers that keep a derived table, and
    ``recomputed`` compares one that no SELECT derives.
    """

    pages: Mapping[type[Model], str]
    places: Mapping[str, str]
    location_paths: Mapping[type[Model], str]
    append_only: tuple[type[Model], ...]
    fixed: Mapping[type[Model], tuple[str, ...]]
    acts: Mapping[str, frozenset[str]]
    sentences: Mapping[str, str]
    tones: Mapping[str, event_kinds.Tone]
    accounts: Mapping[str, AccountKind]
    entries: Mapping[str, str]
    errands: Mapping[str, errands.Source]
    says: Mapping[type[Model], above.Says]
    objects: Mapping[type[Model], above.Objects]
    holds_up: Mapping[str, above.HoldsUp]
    lists: tuple[lists_above.UpperList, ...]
    made_with: Mapping[str, tuple[type[Model], ...]]
    open_kinds: Mapping[str, derived.OpenKind]
    search_kinds: Mapping[str, searched.SearchKind]
    followers: Mapping[str, Follower]
    recomputed: Mapping[str, Callable[[], Iterator[str]]]


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
    kinds = floor.accounts.items()
    words.ACCOUNTS.complete({key: kind.label for key, kind in kinds})
    words.ACCOUNT_CLASSES.complete({key: kind.account_class for key, kind in kinds})
    words.ACCOUNT_PARTNERS.complete({key: kind.partners for key, kind in kinds})
    words.ENTRY_KINDS.complete(floor.entries)
    errands.sources.complete(floor.errands)
    above.says.complete(floor.says)
    above.objects.complete(floor.objects)
    above.holds_up.complete(floor.holds_up)
    KINDS.complete({one.kind.key: one.kind for one in floor.lists})
    lists_above.readers.complete({one.kind.key: one.reader for one in floor.lists})
    lists_above.makers.complete({one.kind.key: one.make for one in floor.lists})
    lists_above.retirers.complete(
        {key: act for one in floor.lists for key, act in one.retire.items()}
    )
    MADE_WITH.complete(floor.made_with)
    derived.OPEN_KINDS.complete(floor.open_kinds)
    searched.SEARCH_KINDS.complete(floor.search_kinds)
    derived.FOLLOWERS.complete(floor.followers)
    derived.RECOMPUTED.complete(floor.recomputed)

"""Of a test's many cases, a few in every run, all of them on asking.

``pytest.mark.one_in(3)`` on a test with parameters, or on a whole file, takes one case
in three: the same in every run, drawn by a fixed seed. In one file the tests are dealt
like cards: where seven tests go through the same fifteen forms, each form meets two or
three of the tests and each test five of the forms. ``pytest --whole`` takes them all,
as ``make test-slow`` and CI do, and so does a run that names a test itself.
"""

from random import Random

import pytest

from tests.sizes import SEED, cases


def takes_all(config):
    """Return whether this run takes every case: it was asked to, or names a test."""
    return cases(few=False, many=True) or any("::" in arg for arg in config.args)


def left_out(items, every):
    """Mark all that can be drawn as slow; return those that this run leaves out."""
    drawn = [item for item in items if _one_in(item)]
    for item in drawn:
        item.add_marker(pytest.mark.slow)
    if every:
        return set()
    by_file = {}
    for item in drawn:
        by_file.setdefault(item.path, []).append(item)
    return {item for those in by_file.values() for item in _rest(those)}


def _one_in(item):
    """Return one in how many cases of this test are taken; nothing if all are."""
    mark = item.get_closest_marker("one_in")
    return mark.args[0] if mark and hasattr(item, "callspec") else None


def _rest(items):
    """Return those of one file that are not drawn."""
    cards = _places({item.callspec.id for item in items})
    hands = _places({item.originalname for item in items})
    for item in items:
        if (cards[item.callspec.id] + hands[item.originalname]) % _one_in(item):
            yield item


def _places(names):
    mixed = sorted(names)
    Random(SEED).shuffle(mixed)
    return {name: place for place, name in enumerate(mixed)}

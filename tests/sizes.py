"""How many cases a generated test draws: a few in every run, all of them on asking.

A test marked ``slow`` has two forms. Every run takes the small one, the same cases each
time; ``pytest --whole`` takes the whole one, as ``make test-slow`` and CI do.
"""

from random import Random

from hypothesis import seed, settings

SEED = 20_261_125

_form = {"whole": False}


def take_whole():
    """Let every test take its whole form; say so before the tests are read."""
    _form["whole"] = True


def cases(few, many):
    """Return how many cases to draw in this run."""
    return many if _form["whole"] else few


def some_of(things, few, name=""):
    """Return all of these, or a few of them drawn by the seed and this name."""
    those = list(things)
    drawn = Random(f"{SEED} {name}").sample(those, min(few, len(those)))
    return cases(drawn, those)


def examples(few, many):
    """Return a decorator that bounds a test's examples, and seeds the few."""
    if _form["whole"]:
        return settings(max_examples=many)
    return lambda test: seed(SEED)(settings(max_examples=few)(test))

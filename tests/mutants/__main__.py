"""Write mistakes into the rules one by one and run the tests that should find them.

``make mutants`` draws 1,000 over money, dates, credit, access and triggers by a printed
seed (``SEED=7 COUNT=50 ONLY=reckoning make mutants`` for less; ``AGAIN=file`` tries only
those that an earlier run's output calls alive, ``FROM=340`` goes on with the 341st of
a run that was stopped). Each runs in a forked process that takes
the changed functions in place, so nothing is written to a file. A survivor is printed
with its line; ``tests/mutants/explained.txt`` lists those that change nothing a test
could see, each with the reason. Leaves with 1 below 95 %.
"""

import importlib
import os
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

from tests.mutants.drawing import Mutant, draw, mutants_of
from tests.mutants.taking import module_of
from tests.mutants.trying import verdicts

ROOT = Path(__file__).resolve().parents[2]
EXPLAINED = Path(__file__).with_name("explained.txt")
ENOUGH = 0.95

PUBLISHED = "tests/published"
TARGETS: dict[str, tuple[str, ...]] = {
    "inventory/rules/reckoning": (
        "tests/inventory/rules/reckoning",
        "tests/inventory/rules/test_minor_units.py",
        f"{PUBLISHED}/test_dates_from_outside.py",
        f"{PUBLISHED}/test_amounts_from_outside.py",
        "tests/claims/rules/damages",
    ),
    "inventory/rules/deposits": (
        "tests/inventory/rules/deposits",
        "tests/inventory/rules/reckon/test_credit.py",
    ),
    "inventory/rules/memos": ("tests/inventory/rules/memos",),
    "inventory/rules/returns": ("tests/inventory/rules/returns",),
    "inventory/actions/ledger": (
        "tests/inventory/actions/ledger",
        "tests/inventory/test_ledger_refusals.py",
    ),
    "inventory/access.py": ("tests/inventory/test_access.py",),
    "inventory/rules/core/roles.py": ("tests/inventory/test_access.py",),
    "inventory/rules/core/life.py": (
        "tests/house/test_lives.py",
        "tests/house/test_life_tables.py",
        "tests/claims/rules/claim/test_life.py",
    ),
    "inventory/triggers.py": (
        "tests/house/test_triggers.py",
        "tests/house/test_sealed_tables.py",
        "tests/inventory/test_ledger_refusals.py",
    ),
    "claims/rules/deadlines": (
        "tests/claims/rules/deadlines",
        "tests/claims/rules/regimes",
        "tests/claims/rules/reckon",
        f"{PUBLISHED}/test_dates_from_outside.py",
    ),
    "claims/rules/damages": (
        "tests/claims/rules/damages",
        "tests/claims/rules/reckon",
        f"{PUBLISHED}/test_amounts_from_outside.py",
    ),
}


def main() -> int:
    """Draw, run and report."""
    seed = int(os.environ.get("SEED", "20261126"))
    count = int(os.environ.get("COUNT", "1000"))
    only = os.environ.get("ONLY", "")
    tests_of = {
        name: tests
        for place, tests in TARGETS.items()
        for name in _files(place)
        if only in name
    }
    every = [one for name in tests_of for one in mutants_of(ROOT / name, name)]
    drawn = _again(draw(every, count, seed))
    drawn = sorted(drawn, key=lambda one: (tests_of[one.path], one.path, one.place))
    begun = int(os.environ.get("FROM", "0"))
    print(f"seed {seed}: {len(drawn)} of {len(every)} mutants", flush=True)
    _load(tests_of)
    groups: dict[tuple[str, ...], list[Mutant]] = defaultdict(list)
    for one in drawn[begun:]:
        groups[tests_of[one.path]].append(one)
    return _report(drawn[begun:], dict(_told(groups, seed, begun)))


def _again(drawn: list[Mutant]) -> list[Mutant]:
    """Keep those that an earlier run did not kill, where its output is given."""
    if "AGAIN" not in os.environ:
        return drawn
    lines = Path(os.environ["AGAIN"]).read_text(encoding="utf-8").splitlines()
    alive = {line.partition("alive: ")[2] for line in lines}
    return [one for one in drawn if str(one) in alive]


def _told(
    groups: dict[tuple[str, ...], list[Mutant]], seed: int, number: int
) -> Iterator[tuple[Mutant, int]]:
    """Give each its code, saying at once what nobody saw or what did not end."""
    started = time.monotonic()
    for tests, mutants in groups.items():
        for one, code in verdicts(tests, mutants, seed, _explained()):
            number += 1
            if code <= 0:
                words = _WORDS.get(code, f"ended by {-code}")
                print(f"  {number} {words}: {one}", flush=True)
            yield one, code
        seconds = time.monotonic() - started
        print(f"  {number} in {seconds:.0f} s, up to {tests[0]}", flush=True)


_WORDS = {0: "alive", -signal.SIGPROF: "never ends"}


def _files(place: str) -> list[str]:
    path = ROOT / place
    found = [path] if path.suffix else sorted(path.glob("*.py"))
    return [str(one.relative_to(ROOT)) for one in found if one.stem != "__init__"]


def _load(names: Iterable[str]) -> None:
    """Load Django and every module once; each mutant is a fork of this process."""
    import tests.conftest  # noqa: F401 - a data folder of its own, cheap passwords

    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    import django

    django.setup()
    for name in names:
        importlib.import_module(module_of(name))


def _report(drawn: list[Mutant], codes: dict[Mutant, int]) -> int:
    alive = sorted(
        (one for one in drawn if codes[one] == 0), key=lambda one: (one.path, one.line)
    )
    known = _explained()
    explained = [one for one in alive if one.key in known]
    for one in alive:
        print(f"{'explained' if one.key in known else 'ALIVE'} {one}")
    killed = len(drawn) - len(alive)
    print(
        f"{len(drawn)} drawn, {killed} killed, {len(explained)} explained, "
        f"{len(alive) - len(explained)} alive: {_share(killed, len(drawn))} of all, "
        f"{_share(killed, len(drawn) - len(explained))} of those not explained"
    )
    return 0 if killed >= ENOUGH * len(drawn) else 1


def _explained() -> set[str]:
    return set(EXPLAINED.read_text(encoding="utf-8").splitlines())


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.1%}" if whole else "100.0%"


if __name__ == "__main__":
    sys.exit(main())

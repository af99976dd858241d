"""Write mistakes into the rules one by one and run the tests that should find them.

``make mutants`` draws 1,000 over money, dates, credit, access and triggers by a printed
seed (``SEED=7 COUNT=50 ONLY=reckoning make mutants`` for less; ``AGAIN=file`` tries only
those that an earlier run's output calls alive). Each runs in a forked process that takes
the changed functions in place, so nothing is written to a file. A survivor is printed
with its line; ``tests/mutants/explained.txt`` lists those that change nothing a test
could see, each with the reason. Leaves with 1 below 95 %.
"""

import importlib
import os
import signal
import sys
import time
import types
from collections import defaultdict
from pathlib import Path

import pytest

from tests.mutants.drawing import Mutant, draw, mutants_of, mutated

ROOT = Path(__file__).resolve().parents[2]
EXPLAINED = Path(__file__).with_name("explained.txt")
ENOUGH = 0.95
LONGEST = 120

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
    "inventory/access.py": ("tests/house/test_access_matrix.py",),
    "inventory/rules/core/roles.py": ("tests/house/test_access_matrix.py",),
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
    print(f"seed {seed}: {len(drawn)} of {len(every)} mutants", flush=True)
    _load(tests_of)
    for tests in sorted(set(tests_of.values())):
        if _run(None, tests) != 0:
            print(f"These tests fail without any mistake: {' '.join(tests)}")
            return 2
    return _report(drawn, {one: _tried(one, tests_of) for one in _shown(drawn)})


def _again(drawn: list[Mutant]) -> list[Mutant]:
    """Keep those that an earlier run did not kill, where its output is given."""
    if "AGAIN" not in os.environ:
        return drawn
    lines = Path(os.environ["AGAIN"]).read_text(encoding="utf-8").splitlines()
    alive = {line.partition("alive: ")[2] for line in lines}
    return [one for one in drawn if str(one) in alive]


def _tried(one: Mutant, tests_of: dict[str, tuple[str, ...]]) -> int:
    """Return the tests' exit code, and say at once when they saw nothing."""
    code = _run(one, tests_of[one.path])
    if code == 0:
        print(f"  alive: {one}", flush=True)
    return code


def _shown(drawn: list[Mutant]):
    started = time.monotonic()
    for number, one in enumerate(drawn, start=1):
        yield one
        if number % 50 == 0:
            print(f"  {number} in {time.monotonic() - started:.0f} s", flush=True)


def _files(place: str) -> list[str]:
    path = ROOT / place
    found = [path] if path.suffix else sorted(path.glob("*.py"))
    return [str(one.relative_to(ROOT)) for one in found if one.stem != "__init__"]


def _load(names) -> None:
    """Load Django and every module once; each mutant is a fork of this process."""
    import tests.conftest  # noqa: F401 - a data folder of its own, cheap passwords

    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    import django

    django.setup()
    for name in names:
        importlib.import_module(_module(name))


def _module(name: str) -> str:
    return name.removesuffix(".py").replace("/", ".")


def _run(mutant: Mutant | None, tests: tuple[str, ...]) -> int:
    """Return the tests' exit code with this mistake in place; 124 after two minutes."""
    child = os.fork()
    if child == 0:
        os.environ.get("LOUD") or _be_quiet()
        signal.alarm(LONGEST)  # a loop that never ends is a mistake found
        if mutant:
            _take(mutant)
        os._exit(int(pytest.main([*_OPTIONS, *tests])))
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


_OPTIONS = [
    *("-x", "-q", "-n0", "-p", "no:randomly", "-p", "no:cacheprovider"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),
]


def _be_quiet() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


def _take(mutant: Mutant) -> None:
    """Give every function of the module its changed code, in place."""
    module = sys.modules[_module(mutant.path)]
    fresh = types.ModuleType(module.__name__)
    fresh.__dict__.update(
        __file__=module.__file__,
        __package__=module.__package__,
        __name__=module.__name__,
    )
    sys.modules[module.__name__] = fresh
    try:
        exec(compile(mutated(mutant), mutant.path, "exec"), fresh.__dict__)
    finally:
        sys.modules[module.__name__] = module
    _swap(module, fresh)


def _swap(old: object, new: object) -> None:
    for name, value in list(vars(new).items()):
        before = vars(old).get(name)
        if _is_own_class(before, value):
            _swap(before, value)
        elif type(before) is type(value):
            _swap_code(_function_of(before), _function_of(value))


def _is_own_class(before: object, after: object) -> bool:
    if not (isinstance(before, type) and isinstance(after, type)):
        return False
    return before is not after and before.__module__ == after.__module__


def _function_of(value: object) -> object:
    """Return the function inside a property, a class method or a cache."""
    for name in ("fget", "func", "__func__", "__wrapped__"):
        value = getattr(value, name, None) or value
    return value


def _swap_code(before: object, after: object) -> None:
    is_function = types.FunctionType
    if not (isinstance(before, is_function) and isinstance(after, is_function)):
        return
    if len(before.__code__.co_freevars) == len(after.__code__.co_freevars):
        before.__code__ = after.__code__
        before.__defaults__ = after.__defaults__
        before.__kwdefaults__ = after.__kwdefaults__


def _report(drawn: list[Mutant], codes: dict[Mutant, int]) -> int:
    alive = [one for one in drawn if codes[one] == 0]
    explained = EXPLAINED.read_text(encoding="utf-8").splitlines()
    killed = len(drawn) - len(alive)
    by_place: dict[str, list[Mutant]] = defaultdict(list)
    for one in alive:
        by_place[one.path].append(one)
    for place in sorted(by_place):
        for one in sorted(by_place[place], key=lambda found: found.line):
            print(f"{'explained' if one.key in explained else 'ALIVE'} {one}")
    share = killed / len(drawn) if drawn else 1.0
    print(f"{killed} of {len(drawn)} killed, {share:.1%}")
    return 0 if share >= ENOUGH else 1


if __name__ == "__main__":
    sys.exit(main())

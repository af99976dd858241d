"""Run the tests of a place against each of its mistakes.

The tests are collected once. A first run without any mistake says which test walks
through which line, and how long it takes. Then each mistake gets a fork, in which the
quick tests of its line run. What they do not see is tried once more from the start, with
all tests of the place: only then is it called alive.
"""

import os
import pickle
import signal
import tempfile
import time
from collections import defaultdict
from collections.abc import Container, Iterator
from pathlib import Path

import coverage
import hypothesis
import pytest

from tests.mutants.drawing import Mutant
from tests.mutants.taking import take

QUICK = 3.0
LONGEST = 120
"""Seconds of the processor, not of the clock: others may be at work beside us."""

FAILING = 99
_OPTIONS = [
    *("-q", "-n0", "-p", "no:randomly", "-p", "no:cacheprovider"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),
]


def verdicts(
    tests: tuple[str, ...], mutants: list[Mutant], seed: int, known: Container[str]
) -> Iterator[tuple[Mutant, int]]:
    """Give each mutant the exit code of its tests: 0 is a mistake that nobody saw.

    Those with a ``known`` key are explained; the quick tests are enough for them.
    """
    for number, code in _quick(tests, mutants, seed):
        if number < 0:
            raise SystemExit(f"These tests fail without any mistake: {' '.join(tests)}")
        one = mutants[number]
        is_sure = code or one.key in known
        yield one, code if is_sure else _whole(tests, one, seed)


def _quick(
    tests: tuple[str, ...], mutants: list[Mutant], seed: int
) -> Iterator[tuple[int, int]]:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _get_ready()
        trying = _Trying(mutants, writing)
        os._exit(int(pytest.main([*_options(seed), *tests], plugins=[trying])))
    os.close(writing)
    told = []
    with os.fdopen(reading) as lines:
        for line in lines:
            told.append(line)
            number, code = line.split()
            yield int(number), int(code)
    os.waitpid(child, 0)
    if len(told) < len(mutants):
        yield -1, FAILING


def _whole(tests: tuple[str, ...], mutant: Mutant, seed: int) -> int:
    """Try this one with all tests, from before they were collected."""
    child = os.fork()
    if child == 0:
        _get_ready()
        _limit()
        take(mutant)
        os._exit(int(pytest.main(["-x", *_options(seed), *tests])))
    return _code_of(child)


def _options(seed: int) -> list[str]:
    return [*_OPTIONS, f"--hypothesis-seed={seed}"]


def _get_ready() -> None:
    """Say nothing, and let Hypothesis neither shrink what it finds nor keep it."""
    if "LOUD" not in os.environ:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
    hypothesis.settings.register_profile("mutants", phases=phases, database=None)
    hypothesis.settings.load_profile("mutants")


def _limit() -> None:
    """End the process after a while: a loop that never ends is a mistake found."""
    signal.setitimer(signal.ITIMER_PROF, LONGEST)


def _code_of(child: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


class _Trying:
    """Takes the place of pytest's loop over the collected tests."""

    def __init__(self, mutants: list[Mutant], writing: int) -> None:
        self.mutants = mutants
        self.writing = writing
        self.cost: list[float] = []
        self.walks: dict[tuple[str, int], set[int]] = {}

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed or not self._walk_clean(session):
            self._tell(-1, FAILING)
            return True
        for number, one in enumerate(self.mutants):
            self._tell(number, self._code(session, one))
        return True

    def _tell(self, number: int, code: int) -> None:
        os.write(self.writing, f"{number} {code}\n".encode())

    def _walk_clean(self, session: pytest.Session) -> bool:
        """Run all tests without a mistake; False where one fails."""
        with tempfile.NamedTemporaryFile() as kept:
            child = os.fork()
            if child == 0:
                walks, cost, failed = _walked(session, self.mutants)
                Path(kept.name).write_bytes(pickle.dumps((walks, cost)))
                os._exit(failed)
            if _code_of(child) != 0:
                return False
            self.walks, self.cost = pickle.loads(Path(kept.name).read_bytes())
        return True

    def _code(self, session: pytest.Session, one: Mutant) -> int:
        quick = self._quick_tests(one)
        if not quick:
            return 0
        child = os.fork()
        if child == 0:
            _limit()
            take(one)
            os._exit(_run(session, [session.items[each] for each in quick]))
        return _code_of(child)

    def _quick_tests(self, one: Mutant) -> list[int]:
        """Return the quickest tests that walk through the line, in their order."""
        found: set[int] = set()
        for line in one.lines:
            found |= self.walks.get((one.path, line), set())
        chosen, left = [], QUICK
        for each in sorted(found, key=lambda each: self.cost[each]):
            left -= self.cost[each]
            if left > 0:
                chosen.append(each)
        return sorted(chosen)


def _run(session: pytest.Session, items: list[pytest.Item]) -> int:
    for item, after in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        if session.testsfailed:
            session._setupstate.teardown_exact(None)
            return 1
    return 0


def _walked(session: pytest.Session, mutants: list[Mutant]):
    """Return which tests walk through each line, what each costs, and failures."""
    places = {str(Path(one.path).resolve()): one.path for one in mutants}
    walking = coverage.Coverage(
        data_file=None, config_file=False, include=list(places), messages=False
    )
    walking.start()
    took = [_timed(session, walking, number) for number in range(len(session.items))]
    walking.stop()
    return _walks(walking, places), _costs(session, took), int(session.testsfailed > 0)


def _timed(session: pytest.Session, walking: coverage.Coverage, number: int) -> float:
    item = session.items[number]
    after = session.items[number + 1] if number + 1 < len(session.items) else None
    walking.switch_context(str(number))
    started = time.process_time()
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
    return time.process_time() - started


def _walks(
    walking: coverage.Coverage, places: dict[str, str]
) -> dict[tuple[str, int], set[int]]:
    data = walking.get_data()
    return {
        (place, line): {int(each) for each in contexts if each}
        for full, place in places.items()
        for line, contexts in data.contexts_by_lineno(full).items()
    }


def _costs(session: pytest.Session, took: list[float]) -> list[float]:
    """Add what a class sets up, which its first test paid for all."""
    first: dict[object, float] = defaultdict(float)
    for item, seconds in zip(session.items, took, strict=True):
        first.setdefault(item.parent, seconds)
    return [
        seconds + (first[item.parent] if getattr(item, "cls", None) else 0.0)
        for item, seconds in zip(session.items, took, strict=True)
    ]

"""The stores with a bucket's interface that tests are given: moto's, and Swift.

Swift's tests are marked ``swift`` and run where DOCK_SWIFT is set, as in CI: it starts
four programs. Where it cannot run they are skipped with a sentence.
"""

import os
from contextlib import ExitStack

import pytest

_said: list[str] = []

STORES = ["moto", pytest.param("swift", marks=pytest.mark.swift)]


@pytest.fixture(scope="session")
def moto():
    from tests import buckets

    with buckets.served() as store:
        yield store


@pytest.fixture(scope="session")
def swift():
    from tests import buckets, swift_server

    with ExitStack() as stack:
        try:
            store = stack.enter_context(buckets.swift_served())
        except swift_server.CannotRunError as because:
            _said.append(f"OpenStack Swift was not tested. {because}")
            pytest.skip(_said[0])
        yield store


@pytest.fixture(params=STORES)
def server(request):
    """Each store."""
    return request.getfixturevalue(request.param)


def pytest_collection_modifyitems(config, items):
    """Leave Swift to whoever asks for it."""
    if os.environ.get("DOCK_SWIFT"):
        return
    there = [item for item in items if item.get_closest_marker("swift")]
    if there:
        config.hook.pytest_deselected(items=there)
        items[:] = [item for item in items if item not in there]


def pytest_terminal_summary(terminalreporter):
    """Say once why tests were skipped, not with each of them."""
    for sentence in _said:
        terminalreporter.write_line(sentence)

"""The stores with a bucket's interface that tests are given: moto's, and Swift.

Swift's tests are marked ``swift`` and run where DOCK_SWIFT is set, as in CI: it starts
four programs. Where it cannot run they are skipped with a sentence.
"""

import os

import pytest

STORES = ["moto", pytest.param("swift", marks=pytest.mark.swift)]


@pytest.fixture(scope="session")
def moto():
    from tests import buckets

    with buckets.served() as store:
        yield store


@pytest.fixture(scope="session")
def swift():
    from tests import buckets, swift_server

    if because := swift_server.why_not():
        pytest.skip(because)
    with buckets.swift_served() as store:
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

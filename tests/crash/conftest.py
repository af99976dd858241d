"""Where crash tests run, when they run, and the table they leave.

The short ones run with every test. Those marked ``crash`` want minutes, root and
strace: ``make test-crash`` sets CRASH=1 and they run; else they are not selected.
"""

import os
import shutil

import pytest

from tests.crash.table import lines_of
from tests.prepared import environment, sqlite_file
from tests.sites import Site, copied_site


def pytest_collection_modifyitems(config, items):
    if os.environ.get("CRASH"):
        return
    slow = [item for item in items if item.get_closest_marker("crash")]
    if slow:
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if item not in slow]


def pytest_terminal_summary(terminalreporter):
    for line in lines_of():
        terminalreporter.write_line(line)


@pytest.fixture
def bench(tmp_path, settings, monkeypatch, db):
    """Fresh disks behind the store's seam, in this process."""
    from tests.crash.bench import Bench  # the models are not ready before

    return Bench(tmp_path, settings, monkeypatch)


@pytest.fixture(scope="session")
def dock(tmp_path_factory):
    """A migrated site on SQLite with one clerk and one truck, to be copied."""
    folder = tmp_path_factory.mktemp("dock")
    shutil.copyfile(sqlite_file(), folder / "db.sqlite3")
    site = Site(folder, environment(folder))
    source = "from tests.crash.prepare import main; main()"
    process = site.python(source)
    _, trouble = process.communicate()
    assert process.returncode == 0, trouble
    return site


@pytest.fixture
def site(dock, tmp_path):
    """A copy of the site for one test."""
    with copied_site(dock, tmp_path / "site") as copied:
        yield copied

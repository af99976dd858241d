"""What holds for every test: a data folder of its own, and cheap passwords."""

import atexit
import gc
import os
import shutil
import sys
import tempfile
from pathlib import Path
from secrets import randbelow

import hypothesis
import pytest

from tests import sizes
from tests.chromium import HOW_TO_GET_ONE, find_chromium, is_required

# Before anything reads the settings. DATABASE_URL alone is taken from outside.
_DATA_DIR = tempfile.mkdtemp(prefix="dock-tests-")
_OWNER = os.getpid()
for _name in ("ALLOWED_HOSTS", "DEBUG", "MIN_FREE_BYTES", "SECRET_KEY"):
    os.environ.pop(_name, None)
os.environ["DOCK_DATA_DIR"] = _DATA_DIR
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
# A run starts some hundred processes: compiled modules are kept whatever is set.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

from django.conf import settings  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import TransactionTestCase  # noqa: E402

from tests import drawing, prepared  # noqa: E402

pytest_plugins = ["tests.stores"]

BROWSER = Path(__file__).with_name("browser")
FEW_FILES = 2
SELDOM = (20_000, 20, 20)
"""How many objects are made between two collections of garbage, by generation."""
CI_SEED = 20_261_125

# On a busy machine an example may take any time: that is no finding.
for _name, _most in (("house", 25), ("whole", 100)):
    hypothesis.settings.register_profile(
        _name,
        deadline=None,
        max_examples=_most,
        suppress_health_check=[hypothesis.HealthCheck.too_slow],
    )
hypothesis.settings.load_profile("house")
settings.LIMITS = {}  # a thousand tests come from one address
settings.PROOF_MINUTES = 0  # whoever is signed in by force showed no password
settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
settings.DRAWN_WITHIN = 60  # on a busy machine a preview may take any time
# Loaded now. A worker that inherits the name would load them before this file gives it
# a folder of its own, and one worker's tidying would take away another's originals.
del os.environ["DJANGO_SETTINGS_MODULE"]


def pytest_sessionstart():
    """Collect the static files, where one has changed since the last run."""
    from config.static_files import collect_when_changed

    collect_when_changed()


@atexit.register
def _remove_data_dir():
    # A forked child leaves through here too; the folder is not its own.
    if os.getpid() == _OWNER:
        shutil.rmtree(_DATA_DIR, ignore_errors=True)


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment, django_db_blocker, django_db_modify_db_settings
):
    """Copy the prepared database instead of migrating an empty one."""
    with django_db_blocker.unblock():
        former = prepared.lay_test_database(connection)
    yield
    with django_db_blocker.unblock():
        connection.creation.destroy_test_db(former, verbosity=0)


def pytest_addoption(parser):
    parser.addoption(
        "--whole", action="store_true", help="take the whole form of the slow tests"
    )


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config):
    """Settle which examples Hypothesis draws, and how many, for all processes."""
    if config.option.hypothesis_seed is None:
        fixed = os.environ.get("CI")
        config.option.hypothesis_seed = str(CI_SEED if fixed else randbelow(2**32))
    if config.option.whole:
        sizes.take_whole()
        hypothesis.settings.load_profile("whole")


def pytest_terminal_summary(terminalreporter):
    """Name the seeds, so that the run can be made again."""
    option = terminalreporter.config.option
    order = getattr(option, "randomly_seed", None)
    told = f"--hypothesis-seed={option.hypothesis_seed}"
    terminalreporter.write_line(f"{told} --randomly-seed={order}" if order else told)


def pytest_ignore_collect(collection_path, config):
    """Import no browser's library where its tests are left out anyway."""
    is_left_out = config.option.markexpr.strip().endswith("not browser")
    if is_left_out and collection_path == BROWSER:
        return True
    return None


def pytest_xdist_auto_num_workers(config):
    """Keep one or two files in this process: starting others would take longer."""
    in_files = all(Path(arg.partition("::")[0]).is_file() for arg in config.args)
    is_small = in_files and len(config.args) <= FEW_FILES
    return 0 if is_small or config.option.capture == "no" else None


def pytest_runtest_setup():
    """Forget the wrong passwords of the test before: a database would roll back."""
    Path(settings.DATA_DIR, "tries.counts").unlink(missing_ok=True)


def pytest_collection_finish():
    """Leave what is imported by now out of every later collection of garbage.

    And collect more seldom: what a test leaves is soon let go by itself.
    """
    from tests.once import share  # it imports models, which are ready by now

    share()
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item):
    """Let tests share what needs to be done only once in a run."""
    from tests.once import decoding_anew

    with decoding_anew(item):
        return (yield)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config, items):
    """Draw this run's cases, mark the database's, skip the browser's tests plainly."""
    left_out = drawing.left_out(items, drawing.takes_all(config))
    if left_out:
        items[:] = [item for item in items if item not in left_out]
        config.hook.pytest_deselected(items=list(left_out))
    for item in items:
        if _touches_database(item):
            item.add_marker(pytest.mark.database)
        is_drawn = hypothesis.is_hypothesis_test(getattr(item, "obj", None))
        if is_drawn or item.get_closest_marker("processes"):
            item.add_marker(pytest.mark.slow)
    in_browser = [item for item in items if item.get_closest_marker("browser")]
    if not in_browser or find_chromium() is not None:
        return
    if is_required():
        raise pytest.UsageError("DOCK_REQUIRE_BROWSER is set. " + HOW_TO_GET_ONE)
    for item in in_browser:
        item.add_marker(pytest.mark.skip(reason=HOW_TO_GET_ONE))


def _touches_database(item):
    # TestCase is a TransactionTestCase too; SimpleTestCase is not.
    family = getattr(item, "cls", None) or object
    fixtures = getattr(item, "fixturenames", ())
    return (
        issubclass(family, TransactionTestCase)
        or item.get_closest_marker("django_db") is not None
        or "db" in fixtures
    )

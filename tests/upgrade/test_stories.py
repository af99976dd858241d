"""Every kind of record has its story, told by the last house or written since."""

import sqlite3
from contextlib import closing

import pytest

from inventory.rules.core import event_kinds
from tests.upgrade.houses import HOUSES
from tests.upgrade.lacking import NEVER_MADE, lacking
from tests.upgrade.opening import lay_file
from tests.upgrade.since import TOLD_SINCE


@pytest.fixture(scope="module")
def last_house(tmp_path_factory):
    path = tmp_path_factory.mktemp("last") / "house.sqlite3"
    lay_file(HOUSES[-1], path)
    with closing(sqlite3.connect(path)) as file:
        yield file


def test_what_the_last_house_lacks_is_told_by_a_story_written_since(last_house):
    without = set(lacking(last_house)) - set(TOLD_SINCE)
    assert without == set(), "Tell it in more_*.py, and name the story in since.py."


def test_a_story_is_named_as_new_only_until_a_house_holds_it(last_house):
    assert set(TOLD_SINCE) - set(lacking(last_house)) == set()


def test_every_story_named_is_one_of_those_that_make_a_house():
    for name, story in TOLD_SINCE.items():
        assert story.__module__.startswith("tests.upgrade.more_"), name


def test_a_kind_that_is_never_made_is_a_kind():
    assert NEVER_MADE - {*event_kinds.sentences} == set()


def test_an_added_kind_state_or_table_is_named(last_house, monkeypatch):
    monkeypatch.setitem(event_kinds.sentences._entries, "crate.painted", "Painted.")
    held = sqlite3.connect(":memory:")
    last_house.backup(held)
    held.executescript(
        "UPDATE claims_claim SET state = 'sent' WHERE state = 'settled';"
        "DROP TABLE claims_setuplist;"
    )
    with closing(held):
        found = set(lacking(held)) - set(TOLD_SINCE)
    assert found >= {
        "event crate.painted",
        "claims.Claim.state settled",
        "any claims.SetupList",
    }

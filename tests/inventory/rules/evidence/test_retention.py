"""A legal hold outranks every span; the last day is what dateutil counts too."""

import datetime as dt

import pytest
from dateutil.relativedelta import relativedelta

from inventory.rules.evidence.retention import (
    KEEPER,
    KINDS,
    NOBODY,
    PRACTICE,
    ender_of,
    keep_closed_house_until,
)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.what)
def test_nobody_ends_a_record_while_a_hold_stands(kind):
    assert ender_of(kind, is_held=False) == kind.ender
    held = ender_of(kind, is_held=True)
    assert held == (NOBODY if kind.is_record else kind.ender)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.what)
def test_each_says_how_long_by_whom_and_by_what(kind):
    assert kind.how_long
    assert kind.ender
    says_where_it_is_from = "U.S.C." in kind.source or "UCC" in kind.source
    assert says_where_it_is_from == ("(from memory)" in kind.source)
    assert not kind.years or kind.is_record


def test_what_has_no_source_says_so():
    plain = {kind.what for kind in KINDS if kind.source == PRACTICE}

    assert {"Security log", "Backups"} <= plain


def test_no_record_of_the_trade_is_for_anybody_to_end():
    loose = {kind.what for kind in KINDS if kind.is_record and kind.ender == KEEPER}

    assert loose == {
        "Security log",
        "Backups",
        "Published roots and checkpoints, and the key that signs them",
        "Uploads set aside because their answer never went out",
    }


@pytest.mark.parametrize("day", [dt.date(2026, 11, 27), dt.date(2028, 2, 29)])
def test_a_closed_house_is_kept_for_the_longest_of_all(day):
    longest = max(kind.years for kind in KINDS)
    until = dt.date(day.year, 12, 31) + relativedelta(years=longest)

    assert longest == 7
    assert keep_closed_house_until(day, is_held=False) == until
    assert keep_closed_house_until(day, is_held=True) is None

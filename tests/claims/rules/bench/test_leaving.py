"""A machine leaves with a release or a manager's reason, and is checked if it stood."""

from datetime import date, timedelta

import pytest

from claims.rules.bench.leaving import (
    LEAVES,
    RECHECKS,
    STOOD_DAYS,
    LeavingFacts,
    must_recheck,
    why_not_leave,
)

TODAY = date(2026, 3, 20)
ALL_RIGHT = dict.fromkeys(RECHECKS, "right")


def facts(**over):
    values = {"way": "sold", "left_on": TODAY, "release": "complete"}
    return LeavingFacts(**{**values, "released_on": TODAY, **over})


@pytest.mark.parametrize("way", LEAVES)
def test_nothing_leaves_without_a_release(way):
    (reason,) = why_not_leave(facts(way=way, release="", released_on=None))
    assert reason.startswith("This machine is not released")
    assert "Nothing was saved." in reason


@pytest.mark.parametrize("release", ["complete", "open-items", "manager"])
def test_a_release_lets_it_leave_on_the_day(release):
    assert why_not_leave(facts(release=release)) == ()


def test_a_hold_keeps_it_here_whatever_its_release():
    (reason,) = why_not_leave(facts(hold_reason="Transit damage."))
    assert "on hold" in reason
    assert "Transit damage." in reason


def test_it_cannot_have_left_before_its_release():
    (reason,) = why_not_leave(facts(left_on=TODAY - timedelta(days=1)))
    assert "before its release" in reason


@pytest.mark.parametrize(
    ("way", "stood", "asked"),
    [
        ("sold", STOOD_DAYS - 1, False),
        ("sold", STOOD_DAYS, True),
        ("sold", None, True),
        ("transferred", 400, False),
        ("returned", 400, False),
    ],
)
def test_what_stood_is_checked_again_before_the_customer_has_it(way, stood, asked):
    released = None if stood is None else TODAY - timedelta(days=stood)
    assert must_recheck(way, released, TODAY) is asked
    release = "before" if stood is None else "complete"
    told = {"way": way, "release": release, "released_on": released}
    assert bool(why_not_leave(facts(**told))) is asked
    assert why_not_leave(facts(**told, checks=ALL_RIGHT)) == ()


def test_each_check_that_is_left_or_not_right_is_named():
    stood = {"released_on": TODAY - timedelta(days=90)}
    checks = {"tires": "right", "battery": "wrong", "oil": "right", "leaks": "right"}
    left, wrong = why_not_leave(facts(**stood, checks=checks))
    assert "safety switches" in left
    assert wrong.startswith("Not right: battery.")

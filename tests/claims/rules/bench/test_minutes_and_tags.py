"""Setup is our own cost; a replaced part waits for its answer."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.bench.minutes import (
    CLAIMABLE,
    WORK,
    Booked,
    claimed_minutes,
    labor_words,
    minutes_of,
    setup_minutes,
    time_words,
    why_not_booked,
)
from claims.rules.bench.part_tags import TagFacts, may_scrap


def test_minutes_of_setup_never_reach_a_claim():
    rows = [Booked("setup", 600), Booked("setup", 60, finding=7)]
    assert minutes_of(rows, 7) == 0
    assert setup_minutes(rows) == 660


BOOKED = st.builds(
    Booked,
    st.sampled_from(sorted(WORK)),
    st.integers(-600, 600).filter(bool),
    st.sampled_from([None, 7, 8]),
)


@given(st.lists(BOOKED), st.integers(0, 600))
def test_whatever_is_booked_as_setup_no_claim_changes(rows, estimate):
    without = [row for row in rows if row.work != "setup"]
    for finding in (7, 8):
        claimed = claimed_minutes(rows, finding, estimate=estimate)
        assert claimed == claimed_minutes(without, finding, estimate=estimate)
        words = labor_words(rows, finding, estimate=estimate)
        assert "setup" not in words.lower()


@pytest.mark.parametrize(
    ("repairs", "claimed"),
    [((), 150), ((90,), 120), ((90, -90), 150), ((90, 15, -90), 45)],
)
def test_a_repair_replaces_its_estimate_until_it_is_taken_back(repairs, claimed):
    rows = [Booked("inspection", 30, 7), *(Booked("repair", one, 7) for one in repairs)]
    assert claimed_minutes(rows, 7, estimate=120) == claimed


def test_labor_says_what_it_is_made_of():
    rows = [
        Booked("inspection", 30, 7),
        Booked("tear-down", 60, 7),
        Booked("re-test", 5, 7),
        Booked("re-test", -5, 7),
        Booked("repair", 45, 8),
    ]
    words = "inspection 30 min, tear-down 1 h, repair 1 h 30 min, as estimated"
    assert labor_words(rows, 7, estimate=90) == words
    assert labor_words(rows, 8, estimate=90) == "repair 45 min"
    assert not labor_words([], 7, estimate=0)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "0 min"),
        (45, "45 min"),
        (60, "1 h"),
        (95, "1 h 35 min"),
        (-90, "-1 h 30 min"),
    ],
)
def test_a_time_is_said_in_hours_and_minutes(minutes, words):
    assert time_words(minutes) == words


@pytest.mark.parametrize("work", sorted(CLAIMABLE))
def test_minutes_for_damage_reach_the_claim_of_their_own_finding(work):
    rows = [Booked(work, 30, 7), Booked(work, 15, 7), Booked(work, 90, 8)]
    assert (minutes_of(rows, 7), setup_minutes(rows)) == (45, 0)


@pytest.mark.parametrize(
    ("booked", "said"),
    [
        (Booked("setup", 30), ""),
        (Booked("repair", 30, 7), ""),
        (Booked("repair", 24 * 60, 7), ""),
        (Booked("repair", 24 * 60 + 1, 7), "24 hours"),
        (Booked("setup", 0), "24 hours"),
        (Booked("setup", -5), "24 hours"),
        (Booked("repair", 30), "belongs to a finding"),
        (Booked("setup", 30, 7), "belongs to no finding"),
        (Booked("coffee", 30), "what the time was for"),
    ],
)
def test_time_is_booked_for_something(booked, said):
    found = why_not_booked(booked)
    assert said in found if said else not found


@pytest.mark.parametrize(("minutes", "refused"), [(-30, False), (-31, True)])
def test_a_mistake_is_taken_back_as_far_as_it_was_booked(minutes, refused):
    assert bool(why_not_booked(Booked("repair", minutes, 7), already=30)) is refused


def test_every_work_is_setup_or_for_damage():
    assert WORK.keys() - CLAIMABLE == {"setup"}


@pytest.mark.parametrize(
    ("facts", "ended_by"),
    [
        (TagFacts(has_waiver=True), "waived"),
        (TagFacts(has_waiver=True, claim_is_over=False), "waived"),
        (TagFacts(claim_is_over=True), "claim-closed"),
    ],
)
def test_a_part_is_scrapped_after_its_answer(facts, ended_by):
    verdict = may_scrap(facts)
    assert (verdict.allowed, verdict.ended_by) == (True, ended_by)


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        (TagFacts(), "in no claim yet"),
        (TagFacts(claim_is_over=False), "still open"),
        (TagFacts(is_collected=True, has_waiver=True), "not here"),
        (TagFacts(is_scrapped=True, has_waiver=True), "already scrapped"),
    ],
)
def test_a_part_without_its_answer_is_kept(facts, said):
    verdict = may_scrap(facts)
    assert not verdict.allowed
    assert said in verdict.reason


def test_nothing_but_an_answer_lets_a_part_go():
    for waiver, collected, over in itertools.product(
        (False, True), (False, True), (None, False, True)
    ):
        allowed = may_scrap(TagFacts(waiver, collected, over)).allowed
        assert allowed == ((waiver or over is True) and not collected)

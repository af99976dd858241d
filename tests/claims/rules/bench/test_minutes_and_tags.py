"""Setup is our own cost; a replaced part waits for its answer."""

import itertools

import pytest

from claims.rules.bench.minutes import (
    CLAIMABLE,
    WORK,
    Booked,
    minutes_of,
    setup_minutes,
    why_not_booked,
)
from claims.rules.bench.part_tags import TagFacts, may_scrap


def test_minutes_of_setup_never_reach_a_claim():
    rows = [Booked("setup", 600), Booked("setup", 60, finding=7)]
    assert minutes_of(rows, 7) == 0
    assert setup_minutes(rows) == 660


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

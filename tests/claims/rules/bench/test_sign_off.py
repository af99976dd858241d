"""A machine is released when it is complete, or with open items that may wait."""

import datetime as dt

import pytest

from claims.rules.bench.setup_lists import RIDE_ON, SNOW_THROWER
from claims.rules.bench.sign_off import (
    SAFETY,
    LineState,
    OpenItem,
    SignOffFacts,
    may_leave,
    may_stay_open,
    sign_off,
)

TODAY = dt.date(2026, 11, 26)
LATER = dt.date(2026, 12, 3)
RIGHT = LineState("right")
LINES = {line.key: line for line in RIDE_ON}
SAFETY_KEYS = sorted(key for key, line in LINES.items() if line.never_open)
OTHER_KEYS = sorted(LINES.keys() - set(SAFETY_KEYS))


def decide(items=(), hold="", lines=RIDE_ON, **states):
    """Return the verdict where everything is right but these lines."""
    by_key = {line.key: RIGHT for line in lines}
    by_key |= {key.replace("_", "-"): state for key, state in states.items()}
    return sign_off(SignOffFacts(lines, by_key, TODAY, items, hold))


def item(line, who="Tomas Reed", by=LATER):
    return OpenItem(line, "waits for the part", who, by)


def test_everything_right_is_complete():
    for lines in (RIDE_ON, SNOW_THROWER):
        verdict = decide(lines=lines)
        assert (verdict.state, verdict.allowed) == ("complete", True)


def test_what_the_machine_does_not_have_is_no_open_item():
    assert decide(lug_nuts=LineState("absent"), rops=LineState("absent")).allowed


@pytest.mark.parametrize("key", OTHER_KEYS)
def test_one_named_item_may_stay_open(key):
    wrong = {key: LineState("wrong", note="Part is on order")}
    refused = decide(**wrong)
    assert refused.state == "refused"
    assert "Name who sees to it, and by when" in refused.reasons[0]
    verdict = decide([item(key)], **wrong)
    assert (verdict.state, verdict.open_items) == ("open-items", (item(key),))


@pytest.mark.parametrize("key", SAFETY_KEYS)
@pytest.mark.parametrize(
    "state", [LineState("wrong"), LineState(), LineState("right", "off")]
)
def test_what_keeps_people_safe_never_stays_open(key, state):
    verdict = decide([item(key)], **{key: state})
    assert verdict.state == "refused"
    assert verdict.reasons[0].startswith(f"{LINES[key].label}: ")
    assert not may_stay_open(LINES[key], state)


def test_a_dead_seat_switch_is_refused_with_its_reason():
    wrong = LineState("wrong", note="Seat switch is dead.")
    verdict = decide([item("interlocks")], interlocks=wrong)
    assert verdict.reasons == (
        "Safety switches (seat, blade, start): not right (seat switch is dead). "
        f"{SAFETY}.",
    )


@pytest.mark.parametrize(
    ("state", "reason"),
    [
        (LineState(), "not inspected"),
        (LineState("right", "off"), "a reading is out of range"),
        (LineState("right", "missing", ("left rear",)), "not read yet: left rear"),
        (LineState("right", "no-target", ("left rear",)), "not read yet: left rear"),
        (LineState("wrong", undecided=True), "not decided yet"),
    ],
)
def test_a_line_that_is_not_done_is_named(state, reason):
    assert reason in decide(tires=state).reasons[0]


def test_what_is_undecided_cannot_stay_open():
    state = LineState("wrong", undecided=True)
    assert decide([item("deck")], deck=state).state == "refused"


def test_readings_that_nobody_needs_may_be_left_out():
    assert decide(test_run=LineState("right", "", ("reading",))).allowed
    assert not decide(lug_nuts=LineState("right", "", ("left rear",))).allowed


def test_a_line_that_every_such_machine_has_is_never_absent():
    verdict = decide([item("interlocks")], interlocks=LineState("absent"))
    assert "cannot be N/A" in verdict.reasons[0]


def test_a_hold_refuses_whatever_is_right():
    verdict = decide(hold="Transit damage found.")
    assert verdict.reasons == ("The machine is on hold. Transit damage found.",)


@pytest.mark.parametrize(
    ("who", "by", "said"),
    [(" ", LATER, "name who"), ("Tomas", TODAY - dt.timedelta(1), "day is past")],
)
def test_an_open_item_has_a_person_and_a_day_to_come(who, by, said):
    verdict = decide([item("deck", who, by)], deck=LineState("wrong"))
    assert said in verdict.reasons[0]
    assert decide([item("deck", by=TODAY)], deck=LineState("wrong")).allowed


def test_an_item_for_a_line_that_is_right_is_left_out():
    assert decide([item("deck")]).state == "complete"


def test_every_reason_is_given_at_once():
    verdict = decide(
        tires=LineState(), interlocks=LineState("wrong"), hold="Transit damage found."
    )
    assert len(verdict.reasons) == 3


@pytest.mark.parametrize(
    ("release", "reason", "allowed"),
    [
        ("", "", False),
        ("", " ", False),
        ("refused", "", False),
        ("", "The owner's son sets it up.", True),
        ("complete", "", True),
        ("open-items", "", True),
        ("before", "", True),
    ],
)
def test_a_machine_leaves_when_it_is_released_or_the_manager_says_why(
    release, reason, allowed
):
    against = may_leave(release, reason)
    assert (not against) is allowed
    assert allowed or "ask a manager" in against

"""What the bench decides: visible or hidden, claimable or not, held or free."""

import pytest

from claims.rules.bench.causes import CAUSES, HANDLING_ANSWERS, needs_answer
from claims.rules.bench.cautions import CAUTIONS, cautions_for
from claims.rules.bench.checklists import LOOKS, looks_at
from claims.rules.bench.estimates import PricedPart, estimate_repair, labor_cents
from claims.rules.bench.holds import may_release, may_set_up
from claims.rules.bench.safety_parts import safety_part_named
from claims.rules.bench.seen import could_be_seen, crate_condition_from_look
from claims.rules.claim.claimable import may_be_claimed
from claims.rules.core import vocabulary as words


@pytest.mark.parametrize("kind", words.DAMAGE_KINDS)
@pytest.mark.parametrize("condition", ["", *words.CONDITIONS])
def test_what_is_found_at_the_tailgate_could_be_seen(condition, kind):
    seen = could_be_seen(stage="tailgate", crate_condition=condition, damage_kind=kind)
    assert seen.could_be_seen
    assert "at delivery" in seen.reason


@pytest.mark.parametrize(
    ("condition", "kind", "expected"),
    [
        ("sound", "cracked", False),
        ("marked", "cracked", True),
        ("none", "cracked", True),
        ("", "cracked", True),
        ("marked", "defect", False),
        ("none", "loose", False),
        ("marked", "wrong", False),
        ("sound", "indicator", True),
        ("sound", "tipped", True),
        ("sound", "missing", False),
        ("marked", "missing", True),
    ],
)
@pytest.mark.parametrize("stage", ["uncrating", "set-up"])
def test_the_crate_says_whether_it_showed(stage, condition, kind, expected):
    seen = could_be_seen(stage=stage, crate_condition=condition, damage_kind=kind)
    assert seen.could_be_seen is expected
    assert seen.reason.endswith(".")


def test_a_count_shows_short_pieces_but_not_what_is_in_a_sound_crate():
    short = could_be_seen(stage="count", crate_condition="", damage_kind="short")
    inside = could_be_seen(stage="count", crate_condition="sound", damage_kind="short")
    cracked = could_be_seen(
        stage="count", crate_condition="sound", damage_kind="cracked"
    )
    assert (short.could_be_seen, inside.could_be_seen) == (True, True)
    assert not cracked.could_be_seen


@pytest.mark.parametrize(
    ("look", "condition"),
    [("clear", "sound"), ("exception", "marked"), ("refused", "marked"), ("", "")],
)
def test_the_look_at_the_tailgate_says_how_the_crate_was(look, condition):
    assert crate_condition_from_look(look) == condition


def test_every_cause_of_the_vocabulary_has_a_meaning():
    assert CAUSES.keys() == words.CAUSES.keys()
    assert [key for key, row in CAUSES.items() if row.holds_unit] == ["transit"]
    assert [key for key, row in CAUSES.items() if row.stops_claim] == ["our-handling"]


def test_only_handling_here_without_an_answer_waits_for_one():
    waiting = [
        (cause, answer)
        for cause in CAUSES
        for answer in ("", *HANDLING_ANSWERS)
        if needs_answer(cause=cause, handling_answer=answer)
    ]
    assert waiting == [("our-handling", "")]


def verdict(**over):
    values = {
        "cause": "transit",
        "handling_answer": "",
        "damage_kind": "cracked",
        "route": "carrier",
    }
    return may_be_claimed(**{**values, **over})


def test_a_transit_finding_may_be_claimed():
    assert verdict().allowed
    assert verdict(route="").allowed


@pytest.mark.parametrize(
    ("over", "words_in_reason"),
    [
        ({"cause": "our-handling"}, "manager"),
        ({"cause": "our-handling", "handling_answer": "ours"}, "stays out"),
        ({"route": "supplier-defect"}, "supplier warranty"),
        ({"route": "nowhere"}, "no damage, no claim"),
        ({"damage_kind": "over"}, "not a loss"),
        ({"damage_kind": "indicator"}, "not damage"),
        ({"claim_number": "RIV-2026-0001"}, "RIV-2026-0001"),
    ],
)
def test_each_reason_alone_keeps_it_out(over, words_in_reason):
    found = verdict(**over)
    assert not found.allowed
    assert len(found.reasons) == 1
    assert words_in_reason in found.reasons[0]


def test_handling_here_that_the_manager_answered_may_be_claimed():
    assert verdict(cause="our-handling", handling_answer="not-ours").allowed


def test_every_reason_is_given_at_once():
    found = verdict(cause="our-handling", damage_kind="over", claim_number="X-1")
    assert len(found.reasons) == 3


@pytest.mark.parametrize("route", [key for key in words.ROUTES if key != "carrier"])
def test_no_other_route_leads_into_a_carrier_claim(route):
    assert not verdict(route=route).allowed


@pytest.mark.parametrize(
    "over",
    [
        {"photo_count": 0},
        {"is_priced": False},
        {"is_safety_part": True},
    ],
)
def test_what_is_weak_warns_and_does_not_forbid(over):
    found = verdict(**over)
    assert found.allowed
    assert len(found.cautions) == 1


def test_a_settled_safety_part_needs_no_warning():
    found = verdict(is_safety_part=True, safety_basis="replacement")
    assert found.cautions == ()


@pytest.mark.parametrize(
    ("minutes", "rate", "cents"),
    [
        (0, 12_500, 0),
        (60, 12_500, 12_500),
        (90, 12_500, 18_750),
        (1, 29, 0),  # 0.48 of a cent
        (1, 30, 1),  # half a cent goes up
        (1, 31, 1),
        (7, 11_800, 1_377),  # 1,376.67
    ],
)
def test_labor_is_rounded_half_up_to_the_cent(minutes, rate, cents):
    assert labor_cents(minutes=minutes, rate_cents=rate) == cents


@pytest.mark.parametrize(("minutes", "rate"), [(-1, 100), (1, -100)])
def test_time_and_rate_are_never_negative(minutes, rate):
    with pytest.raises(ValueError, match="negative"):
        labor_cents(minutes=minutes, rate_cents=rate)


def test_an_estimate_adds_parts_and_labor_and_names_what_has_no_price():
    found = estimate_repair(
        parts=[PricedPart("deck shell", 2, 40_050), PricedPart("decal", 3, None)],
        minutes=30,
        rate_cents=None,
    )
    assert (found.parts_cents, found.labor_cents, found.total_cents) == (
        80_100,
        0,
        80_100,
    )
    assert found.missing == ("decal", "the hourly rate")
    assert not found.is_complete


def test_without_hours_no_rate_is_missing():
    found = estimate_repair(parts=[], minutes=0, rate_cents=None)
    assert found.is_complete


@pytest.mark.parametrize(
    ("part", "key"),
    [
        ("ROPS", "roll-bar"),
        ("left ROPS post", "roll-bar"),
        ("Fuel  Tank", "fuel-tank"),
        ("parking brake lever", "brake"),
        ("Lap bar", "steering"),
        ("deck spindle, left", "blade-spindle"),
        ("Lithium battery", "battery-pack"),
    ],
)
def test_a_safety_part_is_known_by_its_name(part, key):
    found = safety_part_named(part)
    assert found is not None
    assert found.key == key


@pytest.mark.parametrize("part", ["", "deck shell", "brakeman decal", "grope guard"])
def test_other_parts_are_no_safety_parts(part):
    assert safety_part_named(part) is None


def test_looks_are_told_apart_by_key_and_hold_what_the_trade_looks_at():
    for looks in LOOKS.values():
        keys = [look.key for look in looks]
        assert len(keys) == len(set(keys))
    assert {"blocking", "labels", "panels", "frame", "leaks", "wheels"} <= {
        look.key for look in looks_at("uncrating")
    }


def test_each_stage_has_its_cautions_and_straps_come_first():
    opening = [row.key for row in cautions_for("uncrating")]
    assert opening[0] == "straps"
    assert "blades" not in opening
    assert "blades" in [row.key for row in cautions_for("set-up")]
    assert all(row.stages for row in CAUTIONS)


def test_a_held_machine_is_not_set_up():
    assert may_set_up(is_held=False).allowed
    held = may_set_up(is_held=True, hold_reason="It waits.")
    assert not held.allowed
    assert "Do not repair, run" in held.reason


def released(**over):
    values = {"how": "inspected", "reason": "Seen.", "has_waiver": False, "photos": 0}
    return may_release(**{**values, **over})


@pytest.mark.parametrize(
    ("over", "allowed"),
    [
        ({}, True),
        ({"reason": "  "}, False),
        ({"how": "waived"}, False),
        ({"how": "waived", "has_waiver": True}, True),
        ({"how": "manager"}, False),
        ({"how": "manager", "photos": 1}, True),
    ],
)
def test_each_way_out_of_a_hold_has_its_proof(over, allowed):
    found = released(**over)
    assert found.allowed is allowed
    assert bool(found.reason) is not allowed

"""Each finding goes to those who may have to pay, and both are told in time."""

import datetime as dt

import pytest

from claims.rules.claim.routes import RoutingFacts, kind_of_short
from claims.rules.claim.routing import route_finding
from claims.rules.core.vocabulary import CAUSES, DAMAGE_KINDS, ROUTES, STAGES


def route(kind="dented", **facts):
    return route_finding(RoutingFacts(damage_kind=kind, **facts))


def words(found):
    return [each.route for each in found.routes]


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("cause", CAUSES)
@pytest.mark.parametrize("kind", DAMAGE_KINDS)
def test_every_finding_has_a_listed_route_or_a_note(kind, cause, stage):
    found = route(kind, cause=cause, stage=stage)
    assert set(words(found)) <= set(ROUTES)
    assert len(set(words(found))) == len(words(found))
    assert found.routes or found.notes


@pytest.mark.parametrize(
    ("kind", "facts", "expected"),
    [
        ("dented", {"cause": "transit"}, ["carrier"]),
        ("dented", {"cause": "packing"}, ["supplier-goods", "carrier"]),
        ("dented", {"cause": "manufacture"}, ["supplier-defect"]),
        (
            "dented",
            {"cause": "manufacture", "crate_condition": "marked"},
            ["supplier-defect", "carrier"],
        ),
        ("dented", {"cause": "adjustment"}, ["set-up"]),
        ("dented", {"cause": "our-handling"}, ["own-handling"]),
        (
            "dented",
            {"cause": "our-handling", "handling_cleared": True},
            ["supplier-defect", "carrier"],
        ),
        ("dented", {"crate_condition": "marked"}, ["carrier", "supplier-defect"]),
        ("defect", {}, ["supplier-defect"]),
        ("wrong", {}, ["supplier-goods"]),
        ("indicator", {}, []),
        (
            "dented",
            {"cause": "transit", "cargo_insured": True},
            ["carrier", "cargo-insurance"],
        ),
        (
            "dented",
            {"cause": "transit", "cargo_insured": True, "supplier_truck": True},
            ["supplier-goods"],
        ),
    ],
)
def test_the_cause_and_the_crate_point_to_the_route(kind, facts, expected):
    assert words(route(kind, **facts)) == expected


@pytest.mark.parametrize(
    ("kind", "facts", "short", "expected"),
    [
        (
            "short",
            {"pieces_short": True, "stage": "count"},
            "carrier-short",
            ["carrier"],
        ),
        ("short", {"stage": "count"}, "supplier-short", ["supplier-goods"]),
        ("missing", {}, "hidden-short", ["supplier-goods", "carrier"]),
        (
            "missing",
            {"crate_was_disturbed": True},
            "hidden-short",
            ["carrier", "supplier-goods"],
        ),
        ("missing", {"crate_condition": "none"}, "supplier-short", ["supplier-goods"]),
    ],
)
def test_the_three_shorts_are_kept_apart(kind, facts, short, expected):
    found = route(kind, **facts)
    assert (found.short, words(found)) == (short, expected)


def test_damage_is_no_kind_of_short():
    assert kind_of_short(RoutingFacts("dented", pieces_short=True)) == ""


def test_both_notices_go_out_and_only_one_is_paid():
    carrier_by, claim_by = dt.date(2026, 11, 27), dt.date(2027, 8, 20)
    supplier_by = dt.date(2026, 12, 4)
    found = route(
        carrier="Heron Freight",
        supplier="Alder Works",
        carrier_notice_by=carrier_by,
        carrier_claim_by=claim_by,
        supplier_notice_by=supplier_by,
    )
    told = [(filing.who, filing.to, filing.by) for filing in found.filings]
    assert told == [
        ("We", "Heron Freight", carrier_by),
        ("We", "Heron Freight", claim_by),
        ("We", "Alder Works", supplier_by),
    ]
    assert any("Only one of them may pay" in note for note in found.notes)


def test_the_supplier_is_told_even_where_only_the_carrier_can_pay():
    found = route(cause="transit", supplier="Alder Works")
    assert found.filings[-1].to == "Alder Works"


def test_a_claim_is_filed_by_whoever_is_the_claimant_but_we_give_the_notice():
    found = route(cause="transit", supplier="Alder Works", supplier_files=True)
    assert [filing.who for filing in found.filings] == ["We", "Alder Works", "We"]


def test_a_broker_is_never_the_addressee_of_a_claim():
    found = route(cause="transit", carrier="Wren Brokers", carrier_is_broker=True)
    addressees = [filing.to for filing in found.filings[:2]]
    assert all("motor carrier" in to and "Wren" not in to for to in addressees)


def test_a_tripped_indicator_asks_for_a_look_and_claims_nothing():
    found = route("indicator")
    assert (found.first, found.filings) == ("", ())
    assert any("not damage" in note for note in found.notes)


def test_handling_here_waits_for_the_managers_answer():
    found = route(cause="our-handling")
    assert any("The manager must answer" in note for note in found.notes)


def test_the_suppliers_own_truck_leaves_no_notice_to_a_carrier():
    found = route(supplier_truck=True, supplier="Alder Works")
    assert [filing.to for filing in found.filings] == ["Alder Works"]


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("kind", DAMAGE_KINDS)
def test_an_adjustment_is_filed_with_nobody_whatever_its_kind(kind, stage):
    for more in ({}, {"cargo_insured": True}, {"supplier_truck": True}):
        found = route(kind, cause="adjustment", stage=stage, **more)
        assert (words(found), found.filings) == (["set-up"], ())

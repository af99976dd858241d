"""The limit of liability: once for each article, package or weight, a ceiling."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction

import pytest

from claims.rules.damages.limits import PROBLEMS, LimitTerms, find_limit
from claims.rules.damages.limits_records import LIMITS, limit_records
from inventory.rules.core.vocabulary import REGIMES
from inventory.rules.reckoning.measures import Mass


def kg(figure):
    return Mass(Decimal(figure), "kg")


def lb(figure):
    return Mass(Decimal(figure), "lb")


def limit(*masses, currency="USD", charges=0, **terms):
    return find_limit(
        LimitTerms(**terms), masses, currency=currency, charges_cents=charges
    )


@pytest.mark.parametrize("regime", REGIMES)
def test_every_regime_has_a_limit_on_record(regime):
    assert limit_records(regime)


@pytest.mark.parametrize("record", LIMITS, ids=lambda record: record.key)
def test_every_record_says_by_what_authority_and_how_surely(record):
    assert record.authority
    assert record.words
    assert record.confidence in {"text seen", "secondary", "from memory"}
    assert record.figure is None or record.unit in {"SDR", "USD", "CAD"}


def test_record_keys_are_used_once():
    keys = [record.key for record in LIMITS]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(
    "regime",
    ["us-motor", "us-motor-older", "us-rail", "us-intrastate", "parcel", "private", ""],
)
def test_where_nothing_was_agreed_there_is_no_limit(regime):
    found = limit(lb(100), regime=regime)
    assert (found.ceiling_cents, found.sdr, found.problem) == (None, None, "")


def test_released_value_goes_by_the_complete_articles():
    found = limit(lb(100), lb(50), regime="us-motor", per_lb=Decimal("2.50"))
    assert (found.ceiling_cents, found.by_article) == (37500, (25000, 12500))


def test_a_weight_stated_in_kilograms_loses_no_cent_by_the_pound():
    # 453.59237 kg are 1,000 lb exactly.
    found = limit(kg("453.59237"), regime="us-motor", per_lb=Decimal("0.605"))
    assert found.ceiling_cents == 60500


def test_used_goods_take_their_own_figure():
    terms = {"regime": "us-motor", "per_lb": Decimal(5), "per_lb_used": Decimal("0.10")}
    assert limit(lb(100), goods="used", **terms).ceiling_cents == 1000
    assert limit(lb(100), goods="new", **terms).ceiling_cents == 50000


def test_the_most_for_one_shipment_caps_the_limit():
    terms = {"regime": "us-motor", "per_lb": Decimal(25), "maximum_cents": 10000000}
    assert limit(lb(4000), **terms).ceiling_cents == 10000000
    assert limit(lb(3999), **terms).ceiling_cents == 9997500
    alone = limit(lb(1), regime="us-motor", maximum_cents=500)
    assert alone.ceiling_cents == 500


def test_a_declared_value_takes_the_place_of_a_released_one():
    found = limit(
        lb(100), regime="us-motor", per_lb=Decimal("0.50"), declared_cents=900000
    )
    assert found.ceiling_cents == 900000


def test_a_declared_value_never_lowers_a_regimes_own_figure():
    terms = {"regime": "cmr", "sdr_rate": Decimal(1), "currency": "EUR"}
    assert limit(kg(100), declared_cents=83299, **terms).ceiling_cents == 83300
    assert limit(kg(100), declared_cents=83301, **terms).ceiling_cents == 83301


def test_charges_stand_outside_the_limit_under_cmr_alone_of_the_two():
    terms = {"sdr_rate": Decimal(1), "charges": 5000, "currency": "EUR"}
    assert limit(kg(100), regime="cmr", **terms).ceiling_cents == 88300
    day = dt.date(2025, 1, 1)
    air = limit(kg(100), regime="montreal", carriage_on=day, **terms)
    assert air.ceiling_cents == 260000


def test_the_limit_in_sdr_is_turned_into_money_once():
    found = limit(kg("120.5"), regime="cmr", sdr_rate=Decimal("1.30"), currency="EUR")
    assert found.sdr == Fraction("1003.765")
    assert found.ceiling_cents == 130489  # not 1,003.77 x 1.30 = 1,304.90


def test_without_a_count_each_article_is_one_package():
    found = limit(None, None, regime="cogsa")
    assert found.ceiling_cents == 100000
    assert any("no count was given" in step.text for step in found.steps)


@pytest.mark.parametrize(
    ("masses", "terms", "problem"),
    [
        ([None], {"regime": "cmr"}, "weight"),
        ([None], {"regime": "us-motor", "per_lb": Decimal(1)}, "weight"),
        ([kg(1)], {"regime": "canada-road", "currency": "CAD"}, "shipment-weight"),
        ([kg(1)], {"regime": "montreal"}, "carriage-day"),
        (
            [kg(1)],
            {"regime": "montreal", "carriage_on": dt.date(2003, 11, 3)},
            "too-early",
        ),
        ([kg(1)], {"regime": "cogsa", "currency": "EUR"}, "currency"),
        (
            [kg(1)],
            {"regime": "canada-road", "shipment_mass": kg(9)},
            "currency",
        ),
        (
            [kg(1)],
            {"regime": "us-motor", "per_lb": Decimal(1), "per_kg": Decimal(1)},
            "two-rates",
        ),
        ([kg(1)], {"regime": "cmr", "per_lb": Decimal(1)}, "wrong-rate"),
        ([kg(1)], {"regime": "cogsa", "per_kg": Decimal(1)}, "wrong-rate"),
        ([kg(1)], {"regime": "cim"}, "sdr-rate"),
    ],
)
def test_a_limit_that_cannot_be_known_says_what_is_missing(masses, terms, problem):
    found = limit(*masses, **terms)
    assert (found.ceiling_cents, found.problem) == (None, problem)
    assert PROBLEMS[problem].endswith(".")


def test_an_sdr_limit_shows_in_sdr_even_without_a_rate():
    assert limit(kg(250), regime="cim").sdr == 4250


def test_the_rate_is_shown_with_its_day():
    found = limit(
        kg(1),
        regime="cmr",
        sdr_rate=Decimal("1.25"),
        sdr_rate_on=dt.date(2026, 11, 25),
        currency="EUR",
    )
    assert any("rate of 25 Nov 2026" in step.text for step in found.steps)

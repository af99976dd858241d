"""The limit of liability: once for each article, package or weight, a ceiling."""

import datetime as dt
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

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


def told(found):
    return [(step.text, step.cents) for step in found.steps]


@pytest.mark.parametrize(
    ("carriage_on", "key"),
    [
        (dt.date(2003, 11, 3), "too-early"),
        (dt.date(2003, 11, 4), "first"),
        (None, "last"),
    ],
)
def test_the_air_limit_is_that_of_the_day_of_carriage(carriage_on, key):
    dated = limit_records("montreal")
    found = limit(
        kg(1), regime="montreal", carriage_on=carriage_on, declared_cents=99_999_999
    )
    wanted = {"too-early": None, "first": dated[0], "last": dated[-1]}
    assert found.record == wanted[key]


def test_each_figure_of_the_air_limit_begins_on_its_own_day():
    dated = limit_records("montreal")
    for before, record in pairwise(dated):
        day = record.applies_from
        assert limit(kg(1), regime="montreal", carriage_on=day).record == record
        eve = day - dt.timedelta(days=1)
        assert limit(kg(1), regime="montreal", carriage_on=eve).record == before
    own = limit(kg(1), regime="montreal", per_kg=Decimal(30))
    assert (own.record, own.sdr) == (dated[-1], 30)


def test_released_value_says_its_weight_and_sum():
    found = limit(lb(100), lb(50), regime="us-motor", per_lb=Decimal("2.50"))
    assert told(found) == [
        (
            "Released value 2.50 a lb on 150 lb, the complete articles",
            37500,
        )
    ]


def test_without_a_limit_the_regime_speaks_unless_a_value_was_declared():
    assert "No limit is known" in told(limit(lb(1), regime="us-motor"))[0][0]
    declared = limit(lb(1), regime="us-motor", declared_cents=5)
    assert told(declared) == [("The declared value replaces the limit", 5)]


def test_the_whole_shipment_counts_on_canadian_roads():
    # 4.41 CAD a kg, by the uniform conditions of carriage, on 100 kg.
    terms = {"regime": "canada-road", "shipment_mass": kg(100), "currency": "CAD"}
    found = limit(kg(1), **terms)
    assert found.ceiling_cents == 44100
    own = limit(kg(1), **{**terms, "currency": "USD"}, per_kg=Decimal(2))
    assert own.ceiling_cents == 20000


def test_the_affected_weight_counts_in_sdr():
    found = limit(kg(100), kg(50), regime="cmr", per_kg=Decimal(10))
    assert found.sdr == 1500
    own = limit(kg(100), kg(50), regime="cmr")
    assert own.sdr == Fraction("8.33") * 150
    assert told(own)[0][0] == "8.33 SDR a kg on 150 kg gross"


def test_packages_count_in_dollars():
    found = limit(kg(1), regime="cogsa", packages=3)
    assert (found.ceiling_cents, told(found)) == (
        150000,
        [("500.00 a package, 3 packages", 150000)],
    )
    assert told(limit(regime="cogsa", packages=1)) == [
        ("500.00 a package, 1 package", 50000)
    ]


def test_packages_or_weight_whichever_is_higher():
    # 666.67 SDR a package or 2 SDR a kilogram, Hague-Visby Art IV r.5(a).
    regime, package = "hague-visby", Decimal("666.67")
    light = limit(kg(1), regime=regime, packages=1)
    assert light.sdr == Fraction(package)
    assert "The higher figure applies: packages" in [text for text, _ in told(light)]
    heavy = limit(kg(1000), kg(500), regime=regime, packages=1)
    assert heavy.sdr == 3000
    assert "2.00 SDR a kg on 1,500 kg" in [text for text, _ in told(heavy)]
    assert "The higher figure applies: weight" in [text for text, _ in told(heavy)]
    own = limit(kg(1000), regime=regime, packages=1, per_kg=Decimal(3))
    assert own.sdr == 3000
    even = limit(
        kg(100),
        regime=regime,
        packages=1,
        per_kg=package / 100,
    )
    assert "The higher figure applies: packages" in [text for text, _ in told(even)]
    bare = limit(None, regime=regime)
    assert bare.sdr == Fraction(package)
    assert "No weight was given" in told(bare)[1][0]


def test_a_declared_value_that_could_not_be_compared_says_so():
    found = limit(kg(100), regime="cmr", declared_cents=100)
    assert (found.ceiling_cents, found.problem) == (100, "")
    assert "could not be compared" in told(found)[-1][0]
    level = limit(
        kg(100),
        regime="cmr",
        sdr_rate=Decimal(1),
        currency="EUR",
        declared_cents=83300,
    )
    assert "no higher than the regime's figure" in told(level)[-1][0]
    free = limit(lb(1), regime="us-motor", declared_cents=100)
    assert "could not be compared" not in told(free)[-1][0]


def test_the_most_for_one_shipment_is_said_only_where_it_counts():
    terms = {"regime": "us-motor", "per_lb": Decimal(1), "maximum_cents": 10000}
    assert "The most agreed" not in told(limit(lb(100), **terms))[-1][0]
    assert told(limit(lb(101), **terms))[-1] == (
        "The most agreed for one shipment",
        10000,
    )

"""Amounts and limits that the house did not think up, each beside its source.

"text seen", "secondary", "from memory" and "derived" say how sure we are of the
value; a derived product is the source's own figure times a round quantity.
"""

import pytest

from claims.rules.reckon.damages import reckon_damages


def ask(*lines, currency="USD", basis="invoice", freight=None, **limit):
    question = {"currency": currency, "basis": basis, "lines": list(lines)}
    if freight:
        question["freight"] = freight
    if limit:
        question["limit"] = limit
    return reckon_damages(question)


def line(outcome, value, **more):
    return {"label": "machine", "outcome": outcome, "value": value, **more}


SDR = [
    # regime, kilograms, more of the limit, expected SDR, source
    ("cmr", "500", {}, "4165.00", "CMR Art 23(3) text seen, product derived"),
    ("cmr", "1", {}, "8.33", "CMR Art 23(3), UNTS text of the 1978 Protocol"),
    ("cmr", "1234.5", {}, "10283.39", "CMR Art 23(3), product derived, half up"),
    ("cim", "1", {}, "17.00", "CIM (COTIF 1999 App. B) Art 30(2), from memory"),
    ("cim", "250", {}, "4250.00", "CIM Art 30(2), from memory, product derived"),
    (
        "hague-visby",
        "100",
        {"packages": 1},
        "666.67",
        "Hague-Visby Art IV r.5(a), from memory: the package is higher",
    ),
    (
        "hague-visby",
        "333.335",
        {"packages": 1},
        "666.67",
        "666.67 / 2 = 333.335 kg, the crossover, derived",
    ),
    (
        "hague-visby",
        "333.33",
        {"packages": 1},
        "666.67",
        "just below the crossover the package still counts, derived",
    ),
    (
        "hague-visby",
        "333.34",
        {"packages": 1},
        "666.68",
        "just above the crossover the weight counts, derived",
    ),
    (
        "hague-visby",
        "1000",
        {"packages": 1},
        "2000.00",
        "Hague-Visby Art IV r.5(a), from memory, product derived",
    ),
    (
        "hague-visby",
        "100",
        {"packages": 10},
        "6666.70",
        "Kirby, 543 U.S. 14 (2004): ten containers at 666.67 SDR, from memory",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2003-11-04"},
        "2040.00",
        "Montreal Art 22(3) as made, in force 4 Nov 2003, from memory: 17 SDR",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2009-12-29"},
        "2040.00",
        "the day before the first revision",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2009-12-30"},
        "2280.00",
        "first revision, secondary: 19 SDR",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2009-12-31"},
        "2280.00",
        "the day after the first revision",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2019-12-27"},
        "2280.00",
        "the day before the second revision",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2019-12-28"},
        "2640.00",
        "second revision, secondary: 22 SDR",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2024-12-27"},
        "2640.00",
        "the day before the third revision",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2024-12-28"},
        "3120.00",
        "third revision, ICAO notice, secondary: 26 SDR",
    ),
    (
        "montreal",
        "120",
        {"carriage_on": "2024-12-29"},
        "3120.00",
        "the day after the third revision",
    ),
]


@pytest.mark.parametrize(("regime", "kg", "more", "sdr", "source"), SDR)
def test_a_limit_in_sdr_agrees_with_its_source(*, regime, kg, more, sdr, source):
    found = ask(line("short", "90000", weight_kg=kg), regime=regime, **more)
    assert found["limit_sdr"] == sdr, source


MONEY = [
    # line, limit, expected claimed, limit, expected, source
    (
        line("repair", "11460.00", repair="1265.40"),
        {"regime": "us-motor", "declared": "11460.00"},
        ("1265.40", "11460.00", "1265.40"),
        "GAO B-169285 (24 Feb 1971), text seen: a ceiling, not a ratio",
    ),
    (
        line("short", "215"),
        {},
        ("215.00", None, "215.00"),
        "Camar v. Preston, 221 F.3d 271 (1st Cir. 2000), secondary: cost, not resale",
    ),
    (
        line("total", "4000", weight_lb="6200"),
        {"regime": "cogsa", "packages": 1},
        ("4000.00", "500.00", "500.00"),
        "Aluminios Pozuelo v. S.S. Navigator, 407 F.2d 152 (2d Cir. 1968), text seen",
    ),
    (
        line("total", "90000"),
        {"regime": "cogsa", "packages": 10},
        ("90000.00", "5000.00", "5000.00"),
        "COGSA sec. 4(5) at ten containers, as in Kirby, derived",
    ),
    (
        line("total", "1000", weight_lb="10"),
        {"regime": "us-motor", "per_lb": "0.60"},
        ("1000.00", "6.00", "6.00"),
        "49 CFR 375 App. A, from memory: 10 lb at 0.60",
    ),
    (
        line("total", "54511", weight_lb="54511"),
        {"regime": "us-rail", "per_lb": "0.23"},
        ("54511.00", "12537.53", "12537.53"),
        "GAO B-190655 (1978), text seen: 54,511 at 0.23, product derived",
    ),
    (
        line("total", "20000", weight_lb="6890"),
        {"regime": "us-motor", "per_lb": "1.60"},
        ("20000.00", "11024.00", "11024.00"),
        "GAO B-190655 (1978), text seen: 6,890 at 1.60, product derived",
    ),
    (
        line("total", "9000", weight_lb="1000"),
        {"regime": "us-motor", "per_lb": "2.5"},
        ("9000.00", "2500.00", "2500.00"),
        "GAO B-213836, text seen: the gross, crated weight counts; product derived",
    ),
    (
        line("total", "4000"),
        {"regime": "cogsa", "packages": 1, "declared": "3900"},
        ("4000.00", "3900.00", "3900.00"),
        "COGSA sec. 4(5), secondary: a value declared in the bill",
    ),
    (
        line("total", "4000"),
        {"regime": "cogsa", "packages": 1, "declared": "300"},
        ("4000.00", "500.00", "500.00"),
        "COGSA sec. 4(5), secondary: no agreement below USD 500",
    ),
]


@pytest.mark.parametrize(("loss", "limit", "expected", "source"), MONEY)
def test_an_amount_agrees_with_its_source(loss, limit, expected, source):
    found = ask(loss, **limit)
    assert (found["claimed"], found["limit"], found["expected"]) == expected, source


CANADA = [
    ("1000", "4410.00", "CAD 4.41 a kg of the whole shipment, bill text seen; derived"),
    ("1", "4.41", "Ontario O. Reg. 643/05 and others, bill text seen"),
    # CAD 4.41/kg is CAD 2.00/lb: 1,000 lb are 453.59237 kg, which is 2,000.34.
    ("453.59237", "2000.34", "CAD 2.00 a pound, derived"),
]


@pytest.mark.parametrize(("kg", "limit", "source"), CANADA)
def test_canada_counts_the_weight_of_the_whole_shipment(kg, limit, source):
    found = ask(
        line("total", "50000", weight_kg="1"),
        currency="CAD",
        regime="canada-road",
        shipment_weight_kg=kg,
    )
    assert found["limit"] == limit, source


def test_a_canadian_form_may_print_another_figure():
    found = ask(
        line("total", "50000"),
        currency="CAD",
        regime="canada-road",
        per_kg="4.40",
        shipment_weight_kg="1000",
    )
    assert found["limit"] == "4400.00"  # one provincial form prints 4.40, secondary


def test_the_destination_value_rule_leaves_what_the_supreme_court_awarded():
    # McCaull-Dinsmore, 253 U.S. 97 (1920): destination value net of freight
    # 1,422.11, of which 1,200.48 was paid: 221.63 more (difference derived).
    found = ask(line("short", "1422.11", recovered="1200.48"), basis="destination")
    assert found["balance"] == "221.63"


def test_the_released_value_falls_on_the_complete_article():
    # GAO B-185283 (1978), text seen: the whole article's weight, though only its
    # engine was harmed. Quantities are ours.
    found = ask(
        line("repair", "30000", repair="4000", weight_lb="5000"),
        regime="us-motor",
        per_lb="0.50",
    )
    assert (found["limit"], found["expected"]) == ("2500.00", "2500.00")


def test_a_repair_dearer_than_the_thing_is_worth_is_capped():
    # GAO B-193195, text seen: market value less salvage. Quantities are ours.
    found = ask(line("repair", "1000", repair="1800", salvage="150"))
    assert found["claimed"] == "850.00"


def test_cmr_refunds_the_charges_outside_its_limit():
    # CMR Art 23(4), secondary: pro rata on partial loss; outside the cap, from memory.
    found = ask(
        line("short", "9000", weight_kg="500"),
        currency="EUR",
        freight={"paid": "200", "total_weight_kg": "1000"},
        regime="cmr",
        sdr_rate="1.25",
    )
    assert found["claimed"] == "9100.00"
    assert found["limit"] == "5306.25"  # 4,165 SDR at 1.25, plus 100.00


def test_ten_packages_of_kirby_come_to_the_figure_argued():
    # Kirby, 543 U.S. 14 (2004): about 9,763 USD when argued, secondary; the rate of
    # 1.4645 USD an SDR is derived from it.
    found = ask(
        line("total", "90000", weight_kg="1"),
        regime="hague-visby",
        packages=10,
        sdr_rate="1.4645",
    )
    assert found["limit"] == "9763.38"

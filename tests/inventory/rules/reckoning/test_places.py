"""Distances on the earth, against published ones and against another reckoning."""

import math
import random
from decimal import Decimal

import pytest

from inventory.rules.reckoning.places import Position, great_circle_km, read_position

PUBLISHED = [
    # one, other, kilometres, source
    (
        ("36.12", "-86.67"),
        ("33.94", "-118.40"),
        2886,
        "Nashville to Los Angeles airports, the usual example of the haversine, 2886.4 km on 6371 km; from memory",
    ),
    (
        ("50.0664", "-5.7147"),
        ("58.6439", "-3.0700"),
        968,
        "Land's End to John o' Groats, 968.9 km on 6371 km; from memory",
    ),
    (("0", "10"), ("0", "11"), 111, "a degree of the equator, 111.19 km; derived"),
    (("0", "10"), ("90", "10"), 10007, "a quarter of a meridian, 10,007.5; derived"),
    (("0", "10"), ("0", "-170"), 20015, "half way round, 20,015.1; derived"),
    (("41.66", "-91.53"), ("41.66", "-91.53"), 0, "nowhere at all"),
]


@pytest.mark.parametrize(("one", "other", "kilometres", "source"), PUBLISHED)
def test_a_published_distance_is_met(one, other, kilometres, source):
    pair = Position(*map(Decimal, one)), Position(*map(Decimal, other))

    assert great_circle_km(*pair) == kilometres, source
    assert great_circle_km(*reversed(pair)) == kilometres, source


def by_vectors(one, other):
    """Reckon the same by the angle between two vectors, in binary fractions."""

    def vector(place):
        north, east = math.radians(place.latitude), math.radians(place.longitude)
        return (
            math.cos(north) * math.cos(east),
            math.cos(north) * math.sin(east),
            math.sin(north),
        )

    a, b = vector(one), vector(other)
    cross = math.dist(
        (0, 0, 0),
        (
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ),
    )
    return 6371 * math.atan2(cross, sum(x * y for x, y in zip(a, b, strict=True)))


def test_two_hundred_distances_agree_with_another_reckoning():
    dice = random.Random(20260310)
    for _ in range(200):
        pair = [
            Position(
                Decimal(dice.randint(-9_000_000, 9_000_000)) / 100_000,
                Decimal(dice.randint(-18_000_000, 18_000_000)) / 100_000,
            )
            for _ in range(2)
        ]
        assert abs(great_circle_km(*pair) - by_vectors(*pair)) < 1.001, pair


UNREADABLE = [
    ("", ""),
    ("41.66", ""),
    ("north", "west"),
    ("0.00000", "0.00000"),
    ("90.1", "10"),
    ("10", "-180.5"),
    ("NaN", "10"),
    ("Infinity", "10"),
    ("1e400", "10"),
]


@pytest.mark.parametrize(("latitude", "longitude"), UNREADABLE)
def test_what_gives_no_place_is_none(latitude, longitude):
    assert read_position(latitude, longitude) is None


@pytest.mark.parametrize("sign", ["", "-"])
def test_a_pole_and_the_date_line_are_places(sign):
    place = read_position(f"{sign}90", f"{sign}180")
    assert place == Position(Decimal(f"{sign}90"), Decimal(f"{sign}180"))


def test_a_position_is_read_exactly():
    place = read_position("41.66", "-91.53")

    assert place == Position(Decimal("41.66"), Decimal("-91.53"))

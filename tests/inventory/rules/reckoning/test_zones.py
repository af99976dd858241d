"""The list of time zones and states: each is one that the tables behind it know.

Sources: the IANA time zone database as Python carries it, and the tables of the
``holidays`` library, whose keys are ISO 3166-2 subdivisions.
"""

from zoneinfo import available_timezones

import pytest

from inventory.rules.reckoning.calendars import calendar_named
from inventory.rules.reckoning.zones import (
    CANADA,
    PROVINCES,
    REGIONS,
    STATES,
    UNITED_STATES,
    zone_choices,
    zone_words,
)

KEYS = [key for group in REGIONS.values() for key, _words in group]


def test_every_zone_of_the_database_that_is_a_place_is_offered_once():
    offered = [name for group in zone_choices().values() for name, _words in group]

    assert sorted(offered) == sorted(available_timezones() - {"Factory", "localtime"})
    assert set(UNITED_STATES) | set(CANADA) <= available_timezones()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("America/Chicago", "Central time"),
        ("America/Regina", "Central time, Saskatchewan (no daylight saving)"),
        ("America/Argentina/Buenos_Aires", "America/Argentina/Buenos Aires"),
    ],
)
def test_a_zone_is_called_as_people_call_it(name, words):
    assert zone_words(name) == words


def test_there_are_fifty_states_the_district_and_thirteen_provinces():
    assert (len(STATES), len(PROVINCES), len(KEYS)) == (51, 13, 64)


@pytest.mark.parametrize("key", KEYS)
def test_every_state_and_province_has_a_holiday_calendar(key):
    assert calendar_named(key).code == key

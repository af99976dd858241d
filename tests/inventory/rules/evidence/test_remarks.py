"""What is said at once about a photo: each remark by its own fact, and no more."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from inventory.rules.evidence.remarks import PhotoFacts, camera_time, remarks_on
from inventory.rules.reckoning.places import Position

RECEIVED = datetime(2026, 3, 10, 16, 0, tzinfo=UTC)
ARRIVED = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)
CHICAGO = ZoneInfo("America/Chicago")
DOCK = Position(Decimal("41.66"), Decimal("-91.53"))

GOOD = {
    "received_at": RECEIVED,
    "width": 4000,
    "height": 3000,
    "brightness": 120,
    "sharpness": 300,
    "first_truck": ARRIVED,
    "last_truck": ARRIVED,
    "zone": CHICAGO,
    "dock": DOCK,
    "claims": {
        "taken": "2026:03:10 10:40:00",
        "offset": "-05:00",
        "latitude": "41.65900",
        "longitude": "-91.53200",
    },
}


def said(*, claims=None, **over):
    facts = {**GOOD, **over}
    if claims is not None:
        facts["claims"] = {**GOOD["claims"], **claims}
    return remarks_on(PhotoFacts(**facts))


def test_a_good_photo_gets_no_remark():
    assert said() == []


ONE_EACH = [
    (
        {"trouble": "OSError", "brightness": None, "sharpness": None},
        "cannot be previewed",
    ),
    ({"width": 199}, "very small"),
    ({"height": 1, "width": 1, "sharpness": None}, "very small"),
    ({"brightness": 24}, "very dark"),
    ({"brightness": 0, "sharpness": 0}, "very dark"),
    ({"sharpness": 29}, "looks blurred"),
    ({"moves": True}, "first frame"),
    ({"sent_before": "here"}, "already here"),
    ({"sent_before": "elsewhere"}, "already added to another"),
    ({"claims": {"taken": "2026:13:45 99:99:99"}}, "no readable time"),
    ({"claims": {"taken": "not a date"}}, "no readable time"),
    ({"claims": {"taken": "0000:00:00 00:00:00"}}, "no readable time"),
    ({"claims": {"taken": "2026:03:10 11:11:00"}}, "ahead of our clock"),
    ({"claims": {"taken": "2038:01:19 03:14:07"}}, "ahead of our clock"),
    ({"claims": {"taken": "9999:12:31 23:59:59"}}, "ahead of our clock"),
    ({"claims": {"taken": "1970:01:01 00:00:00"}}, "years behind our clock"),
    ({"claims": {"taken": "0001:01:01 00:00:00"}}, "years behind our clock"),
    ({"claims": {"taken": "2026:03:09 22:29:00"}}, "before the truck arrived"),
    (
        {
            "received_at": RECEIVED + timedelta(days=30),
            "claims": {"taken": "2026:03:24 10:31:00"},
        },
        "long after the truck arrived",
    ),
    (
        {"claims": {"latitude": "48.85700", "longitude": "2.35200"}},
        "about 6909 km from here",
    ),
    ({"claims": {"latitude": "42.12000"}}, "about 51 km from here"),
]


@pytest.mark.parametrize(("over", "words"), ONE_EACH)
def test_each_fact_has_its_one_remark(over, words):
    remarks = said(**over)

    assert len(remarks) == 1
    assert words in remarks[0]


QUIET = [
    {"width": 200, "height": 200},
    {"brightness": 25},
    {"sharpness": 30},
    {"sharpness": None, "brightness": None},
    {"claims": {"taken": "2026:03:10 11:10:00"}},  # ten minutes ahead
    {"claims": {"taken": "2026:03:09 22:30:00"}},  # twelve hours before
    {"claims": {"taken": ""}},
    {"claims": {"latitude": "0.00000", "longitude": "0.00000"}},
    {"claims": {"latitude": "42.08000"}},  # 47 km
    {"claims": {"latitude": "somewhere"}},
    {"dock": None, "claims": {"latitude": "-33.00000"}},
    {
        "kind": "origin-condition",
        "claims": {"latitude": "48.00000", "taken": "2026:03:01 08:00:00"},
    },
    {
        "first_truck": None,
        "last_truck": None,
        "claims": {"taken": "2026:01:01 08:00:00"},
    },
    {
        "last_truck": ARRIVED + timedelta(days=9),
        "received_at": RECEIVED + timedelta(days=30),
        "claims": {"taken": "2026:03:25 10:31:00"},
    },
]


@pytest.mark.parametrize("over", QUIET)
def test_what_is_within_bounds_or_unknown_is_not_remarked_upon(over):
    assert said(**over) == []


def test_several_are_said_together_the_picture_first():
    remarks = said(
        brightness=3, sent_before="here", claims={"taken": "1970:01:01 00:00:00"}
    )

    assert ["dark" in remarks[0], "already" in remarks[1], "behind" in remarks[2]] == [
        True,
        True,
        True,
    ]


def test_a_camera_without_an_offset_is_read_by_the_docks_clock():
    claims = {"taken": "2026:03:10 10:40:00"}

    assert camera_time(claims) is None
    assert camera_time(claims, CHICAGO) == datetime(2026, 3, 10, 15, 40, tzinfo=UTC)


def test_a_stated_offset_wins_over_the_docks_clock():
    claims = {"taken": "2026:03:10 10:40:00", "offset": "+01:00"}

    assert camera_time(claims, CHICAGO) == datetime(2026, 3, 10, 9, 40, tzinfo=UTC)

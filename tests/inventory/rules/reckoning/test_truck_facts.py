"""One tap at a truck, as its history reads it. Our own words; no source."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from inventory.rules.reckoning.truck_facts import fact_words

IOWA = ZoneInfo("America/Chicago")
QUARTER_TO_TEN = datetime(2026, 11, 26, 15, 45, tzinfo=UTC)


@pytest.mark.parametrize(
    ("fact", "words"),
    [
        ({"started_at": QUARTER_TO_TEN}, "Unloading started 9:45 AM"),
        ({"departed_at": QUARTER_TO_TEN}, "Driver left 9:45 AM"),
        ({"departed_at": None}, "Driver left: not recorded"),
        ({"seal_number": "UL-4471"}, "Seal number UL-4471"),
        ({"seal_number": ""}, "No seal number"),
        (
            {"damaged_on_trailer": True},
            "Damage seen on the trailer, before it was moved",
        ),
        ({"damaged_on_trailer": False}, "No damage seen on the trailer"),
        ({"unloaded_by": ""}, "Unloaded by: not recorded"),
        (
            {"shippers_count": False, "seal_number": ""},
            "Not shipper's load and count; No seal number",
        ),
    ],
)
def test_a_fact_reads_in_the_docks_own_time(fact, words):
    assert fact_words(fact, IOWA) == words


def test_a_value_of_no_vocabulary_is_a_mistake():
    with pytest.raises(KeyError):
        fact_words({"unloaded_by": "the moon"}, IOWA)

"""What a manager's edit of a setup list keeps, and the keys it gives."""

from dataclasses import replace

import pytest

from claims.rules.bench.list_edits import (
    READINGS,
    left_out,
    reading_key,
    with_keys,
)
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS, RIDE_ON, why_not_version

NEW = SetupLine("", "Mirror", "Fitted?")


def test_a_new_line_never_takes_a_key_that_was_ever_used():
    found = with_keys([*RIDE_ON, NEW, NEW], {"own-1", "own-3"})
    assert [line.key for line in found[-2:]] == ["own-2", "own-4"]
    assert why_not_version("ride-on-mower", found) == ()


def test_a_line_no_longer_waits_for_one_that_is_left_out():
    kept = [line for line in RIDE_ON if line.key != "lap-bars"]
    by_key = {line.key: line for line in with_keys(kept, ())}
    assert by_key["tracking"].after == ("tires",)


def test_what_is_left_out_can_be_taken_in_again():
    kept = [line for line in RIDE_ON if line.key not in {"keys", "purge"}]
    assert [line.key for line in left_out("ride-on-mower", kept)] == ["keys", "purge"]
    assert left_out("ride-on-mower", RIDE_ON) == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_line_of_ours_can_be_shown_with_what_it_reads(kind):
    for line in KINDS[kind].lines:
        key = reading_key(line)
        assert READINGS.get(key) == line.readings
        assert bool(key) is bool(line.readings)


def test_words_and_readings_may_change_and_the_rest_stays():
    reworded = replace(RIDE_ON[0], label="Bag of bolts")
    assert with_keys([reworded], ())[0] == reworded

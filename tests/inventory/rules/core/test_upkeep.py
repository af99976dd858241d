"""What is late in the upkeep. The spans are our own choice; there is no source."""

from datetime import UTC, datetime, timedelta

import pytest

from inventory.rules.core.upkeep import (
    TASKS,
    Queue,
    Run,
    ago,
    bytes_words,
    queue_line,
    span,
    task_line,
)

AT = datetime(2026, 11, 27, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
BACKUP = TASKS["backup"]


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        (timedelta(seconds=59), "less than a minute"),
        (timedelta(minutes=1), "1 minute"),
        (timedelta(minutes=59, seconds=59), "59 minutes"),
        (HOUR, "1 hour"),
        (timedelta(hours=23, minutes=59), "23 hours"),
        (timedelta(days=1), "1 day"),
        (timedelta(days=400), "400 days"),
    ],
)
def test_a_span_is_told_in_its_largest_whole_unit(gone, words):
    assert span(gone) == words


def test_a_moment_ago_is_just_now():
    assert ago(timedelta(seconds=59)) == "just now"
    assert ago(HOUR) == "1 hour ago"


@pytest.mark.parametrize(
    ("last", "is_late"),
    [(timedelta(hours=26), False), (timedelta(hours=26, seconds=1), True)],
)
def test_a_backup_is_late_after_a_night_and_two_hours(last, is_late):
    run = Run(ended_at=AT - last, good_at=AT - last, words="7 events.")

    line = task_line(BACKUP, run, AT - timedelta(days=900), AT)

    assert line.is_late == is_late
    assert line.stands == "1 day ago. 7 events."
    assert line.to_do == ("Run manage.py backup FOLDER" if is_late else "")


@pytest.mark.parametrize(("days", "is_late"), [(1, False), (2, True)])
def test_a_new_house_has_one_span_before_its_first_backup_is_late(days, is_late):
    line = task_line(BACKUP, Run(), AT - timedelta(days=days), AT)

    assert (line.stands, line.is_late) == ("Never", is_late)


def test_what_failed_is_late_however_young_the_last_good_one_is():
    run = Run(
        ended_at=AT - HOUR, went_well=False, good_at=AT - 2 * HOUR, words="Disk full."
    )

    line = task_line(BACKUP, run, AT, AT)

    assert line.is_late
    assert line.stands == "Failed 1 hour ago: Disk full."


@pytest.mark.parametrize(
    ("waits", "stands", "is_late"),
    [
        (None, "Nothing waits", False),
        (HOUR, "2 mails, the oldest for 1 hour", False),
        (timedelta(hours=1, seconds=1), "2 mails, the oldest for 1 hour", True),
    ],
)
def test_what_waits_longer_than_an_hour_is_late(waits, stands, is_late):
    oldest = None if waits is None else AT - waits

    line = queue_line("Mail", Queue(2, oldest), AT, noun="mail", to_do="Look")

    assert (line.stands, line.is_late) == (stands, is_late)


def test_room_is_told_in_decimal_gigabytes_rounded_down():
    assert bytes_words(1_999_999_999) == "1.9 GB"

"""One mail a day at the dock's own hour, whatever its clock does."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from claims.rules.deadlines.morning import MorningLine, compose_morning, is_due

CHICAGO = ZoneInfo("America/Chicago")
LINE = MorningLine(
    "Notice of concealed damage",
    "Gannet Overland",
    "PRO PRO-1",
    date(2026, 3, 17),
    "3 days left",
    is_late=False,
)
HERE = datetime(2026, 3, 14, 6, 5, tzinfo=CHICAGO)


def sendings(hour, first, last):
    """Look every ten minutes from one moment to another; return the days sent on."""
    sent, at = [], first
    while at < last:
        here = at.astimezone(CHICAGO)
        if is_due(here, hour, sent[-1] if sent else None):
            sent.append(here.date())
        at += timedelta(minutes=10)
    return sent


@pytest.mark.parametrize("hour", [1, 2, 3, 6, 11])
@pytest.mark.parametrize(
    ("sunday", "name"),
    [
        # 15 U.S.C. 260a: second Sunday of March, first Sunday of November, at 2:00.
        (date(2026, 3, 8), "an hour is skipped"),
        (date(2026, 11, 1), "an hour comes twice"),
    ],
)
def test_every_day_has_one_mail_when_the_clocks_change(hour, sunday, name):
    first = datetime(sunday.year, sunday.month, sunday.day, tzinfo=CHICAGO)
    begin = (first - timedelta(days=2)).astimezone(UTC)

    sent = sendings(hour, begin, begin + timedelta(days=5))

    days = [sunday + timedelta(days=count) for count in (-2, -1, 0, 1, 2)]
    assert sent[:5] == days, name
    assert len(sent) == len(set(sent))


def test_after_hours_of_standing_it_comes_late_and_says_so():
    mail = compose_morning([LINE], to="m@dock.example", here=HERE, hour=6)
    late = compose_morning(
        [LINE], to="m@dock.example", here=HERE.replace(hour=9, minute=40), hour=6
    )

    assert "is late" not in mail.body
    assert "was due at 6:00 AM and is late" in late.body


def test_a_day_with_nothing_to_do_has_no_mail():
    assert compose_morning([], to="m@dock.example", here=HERE, hour=6) is None


def test_it_names_the_duty_the_bill_and_the_day_and_what_is_late():
    lines = [
        replace(LINE, about="PRO PRO-2", days_words="1 day late", is_late=True),
        LINE,
    ]

    mail = compose_morning(lines, to="m@dock.example", here=HERE, hour=6)

    assert mail.subject == "2 things to do by Sat 21 Mar 2026, 1 late"
    assert (
        "LATE: Notice of concealed damage, PRO PRO-2. Gannet Overland. "
        "Tue 17 Mar 2026 (1 day late)." in mail.body
    )
    assert "Nothing here is legal advice." in mail.body

"""Which copies of a backup stay. Grandfather, father, son: common practice, no source."""

from datetime import UTC, datetime, timedelta

from inventory.rules.evidence.generations import Keep, kept

# November 27, 2026 is a Friday of ISO week 48 (ISO 8601, by the calendar).
FRIDAY = datetime(2026, 11, 27, 2, tzinfo=UTC)


def back(*days):
    return [FRIDAY - timedelta(days=one) for one in days]


def test_the_newest_always_stays():
    assert kept(back(0, 1), Keep(0, 0, 0)) == set(back(0))
    assert kept([], Keep()) == frozenset()


def test_a_day_keeps_its_last_copy():
    noon = FRIDAY + timedelta(hours=10)
    assert kept([FRIDAY, noon, *back(1, 2)], Keep(2, 0, 0)) == {noon, *back(1)}


def test_weeks_end_on_sunday_and_months_on_their_last_day():
    daily = back(*range(70))
    sundays = back(5, 12)  # November 22 and 15
    assert kept(daily, Keep(0, 3, 0)) == {FRIDAY, *sundays}
    assert kept(daily, Keep(0, 0, 3)) == {
        *(
            FRIDAY,
            datetime(2026, 10, 31, 2, tzinfo=UTC),
            datetime(2026, 9, 30, 2, tzinfo=UTC),
        )
    }


def test_days_without_a_copy_take_no_place():
    assert kept(back(0, 30, 60, 90), Keep(3, 0, 0)) == set(back(0, 30, 60))


def test_a_year_of_nights_leaves_what_the_defaults_name():
    stay = kept(back(*range(365)), Keep())
    # 7 days, 2 Sundays beyond them that are in no month's end, and 11 month's ends.
    assert FRIDAY in stay
    assert len(stay) <= 7 + 5 + 12
    assert min(stay) == datetime(2025, 12, 31, 2, tzinfo=UTC)

"""What each person has to do, for the mail and the calendar that they asked for."""

from datetime import date

from claims.models import CalendarFeed, Deadline, MorningMail
from claims.queries.bench.unopened import unopened_crates
from claims.queries.core.labels import duty_label
from claims.queries.deadlines.lapses import (
    Stakes,
    day_that_counts,
    hand_of,
    lapsing,
    open_duties,
)
from claims.rules.deadlines.calendar_entries import CalendarEntry
from claims.rules.deadlines.morning import HANDS_OF_ROLE, MorningLine
from inventory.access import scoped
from inventory.models import Assignment, User


def hands_of(person: User) -> frozenset[str]:
    """Return which duties are this person's, by the roles they hold anywhere."""
    if not person.is_active:
        return frozenset()
    held = Assignment.objects.filter(person=person).values_list("role", flat=True)
    return frozenset(hand for role in held for hand in HANDS_OF_ROLE.get(role, ()))


def wish_of(person: User) -> MorningMail | None:
    """Return the morning mail that this person asked for, if any."""
    rows = MorningMail.objects.filter(person=person, ended_at=None)
    return rows.select_related("location").first()


def feed_of(person: User) -> CalendarFeed | None:
    """Return this person's calendar, if they have one."""
    return CalendarFeed.objects.filter(person=person, ended_at=None).first()


def morning_lines(person: User, today: date) -> list[MorningLine]:
    """Return what this person has to do this week, the earliest first."""
    hands = hands_of(person)
    if not hands:
        return []
    duties = scoped(Deadline.objects.all(), person, "see")
    lapses = lapsing(duties, unopened_crates(person, today), today)
    return [
        MorningLine(
            label=one.label,
            what=one.what,
            pro=one.pro_number,
            day=one.day,
            days_words=one.days_words,
            is_late=one.days_left < 0,
        )
        for one in sorted(lapses, key=lambda one: (one.day, one.key))
        if one.hand in hands
    ]


def calendar_entries(person: User, today: date) -> list[CalendarEntry]:
    """Return each open duty of this person as a day of the calendar."""
    hands = hands_of(person)
    if not hands:
        return []
    duties = scoped(Deadline.objects.all(), person, "see")
    rows = list(open_duties(duties).filter(owed_by="claimant"))
    crates = unopened_crates(person, today)
    stakes = Stakes.of({row.shipment_id for row in rows}, crates)
    return [_entry(row) for row in rows if hand_of(row, stakes) in hands]


def _entry(row: Deadline) -> CalendarEntry:
    decided = [one.decided_at for one in row.overrides.all()]
    return CalendarEntry(
        key=row.pk,
        day=day_that_counts(row),
        what=duty_label(row.duty),
        pro=row.shipment.pro_number,
        send_by=row.send_by,
        due=row.due,
        changed_at=max([row.counted_at, *decided]),
    )

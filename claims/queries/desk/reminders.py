"""What each person has to do, for the mail and the calendar that they asked for."""

from datetime import date, datetime

from claims.models import CalendarFeed, Deadline, MorningMail
from claims.queries.bench.unopened import unopened_crates
from claims.queries.claim.paper_tasks import PaperTaskRow, my_paper_tasks
from claims.queries.core.labels import deadline_label
from claims.queries.deadlines.lapses import (
    Stakes,
    day_that_counts,
    hand_of,
    open_duties,
)
from claims.queries.desk.todo import Work
from claims.rules.claim.todo import THIS_WEEK, Todo
from claims.rules.deadlines.calendar_entries import CalendarEntry
from claims.rules.deadlines.morning import (
    HANDS_OF_ROLE,
    LATE_AFTER,
    MorningLine,
    is_due,
)
from inventory.access import scoped_in_order
from inventory.models import Assignment, User
from inventory.rules.reckoning.moments import dock_clock


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


def overdue_wish(person: User, at: datetime) -> MorningMail | None:
    """Return the morning mail that should be out by now and could not be made."""
    wish = wish_of(person)
    if wish is None or at - wish.asked_at <= LATE_AFTER:
        return None
    asked = at - LATE_AFTER
    is_overdue = is_due(dock_clock(asked, wish.location.zone), wish.hour, wish.last_day)
    return wish if is_overdue else None


def morning_lines(person: User, today: date) -> list[MorningLine]:
    """Return what is this person's to do this week, as the desk has it.

    Whoever has no duties has the documents that they were asked to get.
    """
    if not hands_of(person):
        return _paper_lines(person, today)
    return [
        MorningLine(
            label=one.label,
            what=one.why,
            about=_about(one),
            day=one.day,
            days_words=one.when,
            is_late=one.tone == "late",
        )
        for one in Work.of(person, today, "see").todos()
        if one.who.is_mine and one.is_due
    ]


def _about(one: Todo) -> str:
    """Return the claim, the freight bill or the return that an act is about."""
    if one.claim:
        return f"claim {one.ref}"
    return f"PRO {one.ref}" if one.bill else f"return {one.ref}"


def _paper_lines(person: User, today: date) -> list[MorningLine]:
    return [
        MorningLine(
            label=one.act,
            what=one.why,
            about=f"claim {one.claim.number}",
            day=one.day,
            days_words=one.days_words,
            is_late=one.days_left < 0,
        )
        for one in my_paper_tasks(person, today)
        if one.day <= today + THIS_WEEK
    ]


def calendar_entries(person: User, today: date) -> list[CalendarEntry]:
    """Return each open duty and document of this person as a day of the calendar."""
    papers = [_paper_entry(one) for one in my_paper_tasks(person, today)]
    return [*_duty_entries(person, today), *papers]


def _paper_entry(row: PaperTaskRow) -> CalendarEntry:
    return CalendarEntry(
        key=row.task.pk,
        day=row.day,
        what=row.act,
        pro=row.claim.shipment.paper_number,
        changed_at=row.task.given_at,
        subject="document",
    )


def _duty_entries(person: User, today: date) -> list[CalendarEntry]:
    hands = hands_of(person)
    if not hands:
        return []
    duties = scoped_in_order(Deadline.objects.all(), person, "see")
    rows = list(open_duties(duties).filter(owed_by="claimant"))
    crates = unopened_crates(person, today)
    stakes = Stakes.of({row.shipment_id for row in rows}, crates)
    return [_entry(row) for row in rows if hand_of(row, stakes) in hands]


def _entry(row: Deadline) -> CalendarEntry:
    decided = [one.decided_at for one in row.overrides.all()]
    return CalendarEntry(
        key=row.pk,
        day=day_that_counts(row),
        what=deadline_label(row),
        pro=row.shipment.paper_number,
        send_by=row.send_by,
        due=row.due,
        changed_at=max([row.counted_at, *decided]),
    )

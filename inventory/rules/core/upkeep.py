"""What whoever runs the house keeps an eye on, and when it is late.

The spans are our own choice: a backup a night with two hours to spare, the rest a week
with a day to spare, and an hour for what should take seconds.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Task:
    """A command that must run again and again, and how long ago is too long."""

    name: str
    late_after: timedelta
    to_do: str


TASKS: Mapping[str, Task] = {
    "backup": Task("Backup", DAY + 2 * HOUR, "Run manage.py backup FOLDER"),
    "verify": Task("Check of all records and photos", 8 * DAY, "Run manage.py verify"),
    "root": Task("Published root", 8 * DAY, "Run manage.py publish_root"),
}


@dataclass(frozen=True)
class Run:
    """How a command last ended, and when it last went well; None: never."""

    ended_at: datetime | None = None
    went_well: bool = True
    good_at: datetime | None = None
    words: str = ""


@dataclass(frozen=True)
class Queue:
    """What waits for the working program, and since when the oldest does."""

    count: int
    oldest: datetime | None


@dataclass(frozen=True)
class Kept:
    """How the house stands at one moment. ``free`` and ``least_free`` are bytes."""

    at: datetime
    began_at: datetime
    seen_at: datetime | None
    is_stopped: bool
    mails: Queue
    refused_mails: int
    photos: Queue
    runs: Mapping[str, Run]
    free: int
    least_free: int
    is_clock_behind: bool


@dataclass(frozen=True)
class Line:
    """One line of the page: what it is, how it stands, and what to do about it."""

    name: str
    stands: str
    to_do: str = ""

    @property
    def is_late(self) -> bool:
        """Return whether somebody must see to it."""
        return bool(self.to_do)


START_WORK = "Start manage.py work"


def lines_of(kept: Kept) -> list[Line]:
    """Return every line of the page in its order."""
    return [
        _working_program(kept),
        queue_line("Mail to send", kept.mails, kept.at, noun="mail", to_do=_SEE_MAIL),
        _refused_mail(kept.refused_mails),
        queue_line(
            "Photos to read", kept.photos, kept.at, noun="photo", to_do=_SEE_PHOTOS
        ),
        *(
            task_line(task, kept.runs.get(key, Run()), kept.began_at, kept.at)
            for key, task in TASKS.items()
        ),
        _free_room(kept),
        _clock(kept),
    ]


_SEE_MAIL = f"{START_WORK}, or see the mail server"
_SEE_PHOTOS = f"{START_WORK}, or run manage.py read_photos"


def measures_of(kept: Kept) -> dict[str, int]:
    """Return the same as numbers, under names for a monitor: seconds, bytes, counts.

    A moment is a Unix time in whole seconds; what never happened is left out.
    """
    moments = {
        "work_seen_timestamp_seconds": kept.seen_at,
        "oldest_mail_timestamp_seconds": kept.mails.oldest,
        "oldest_unread_photo_timestamp_seconds": kept.photos.oldest,
        **{
            f"{key}_good_timestamp_seconds": run.good_at
            for key, run in kept.runs.items()
        },
    }
    return {
        "mails_waiting": kept.mails.count,
        "mails_refused": kept.refused_mails,
        "photos_unread": kept.photos.count,
        "free_bytes": kept.free,
        "clock_behind": int(kept.is_clock_behind),
        "upkeep_late": sum(line.is_late for line in lines_of(kept)),
        **{name: int(at.timestamp()) for name, at in moments.items() if at is not None},
    }


def task_line(task: Task, run: Run, began_at: datetime, at: datetime) -> Line:
    """Return the line of a command. A new house has one span before it is late."""
    if run.ended_at is not None and not run.went_well:
        return Line(
            task.name, f"Failed {ago(at - run.ended_at)}: {run.words}", task.to_do
        )
    is_late = at - (run.good_at or began_at) > task.late_after
    stands = f"{ago(at - run.good_at)}. {run.words}" if run.good_at else "Never"
    return Line(task.name, stands, task.to_do if is_late else "")


def queue_line(name: str, queue: Queue, at: datetime, *, noun: str, to_do: str) -> Line:
    """Return the line of what waits to be done by the working program."""
    if queue.oldest is None:
        return Line(name, "Nothing waits")
    waited = at - queue.oldest
    stands = f"{_counted(queue.count, noun)}, the oldest for {span(waited)}"
    return Line(name, stands, to_do if waited > HOUR else "")


def _working_program(kept: Kept) -> Line:
    seen = kept.seen_at
    stands = f"Seen {ago(kept.at - seen)}" if seen else "Never started"
    return Line("Working program", stands, START_WORK if kept.is_stopped else "")


def _refused_mail(count: int) -> Line:
    name = "Mail that reached nobody"
    if not count:
        return Line(name, "None")
    stands = f"{_counted(count, 'mail')} came back or was refused"
    return Line(name, stands, "Ask the location's manager to see to the outbox")


def _free_room(kept: Kept) -> Line:
    least = bytes_words(kept.least_free)
    to_do = f"Make room: below {least} this machine is not ready"
    is_low = kept.free < kept.least_free
    return Line(
        "Free room for photos and records",
        bytes_words(kept.free),
        to_do if is_low else "",
    )


def _clock(kept: Kept) -> Line:
    if not kept.is_clock_behind:
        return Line("This machine's clock", "Not behind the last recorded act")
    return Line(
        "This machine's clock",
        "Behind the last recorded act",
        "Set it right before anyone records more",
    )


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def ago(gone: timedelta) -> str:
    """Return how long ago: "3 hours ago"."""
    return "just now" if gone < timedelta(minutes=1) else f"{span(gone)} ago"


def span(gone: timedelta) -> str:
    """Return a span in its largest whole unit, rounded down: "3 hours"."""
    for unit, size in (
        ("day", DAY),
        ("hour", HOUR),
        ("minute", timedelta(minutes=1)),
    ):
        count = gone // size
        if count > 0:
            return f"{count} {unit}{'' if count == 1 else 's'}"
    return "less than a minute"


def bytes_words(count: int) -> str:
    """Return a size as disks are sold: decimal gigabytes, one place, rounded down."""
    return f"{count // 100_000_000 / 10:.1f} GB"

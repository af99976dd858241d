"""Stopping a suit clock while a written claim is pending: CMR Art 32(2), CIM Art 48(3)."""

import datetime as dt
from dataclasses import dataclass

from claims.rules.deadlines.facts import Facts, Standing
from claims.rules.deadlines.starts import first_disallowed_on, first_disputed_on
from claims.rules.regimes.records import Record
from inventory.rules.reckoning.calendars import in_words

_NO_TIME = dt.timedelta(0)
_STANDS_STILL = (
    "The clock is stopped until the carrier refuses in writing and returns the "
    "documents; the safe date does not rely on it."
)
_NOT_RETURNED = (
    "Counted as if the documents were returned with the refusal; until they are, "
    "the clock is stopped."
)


@dataclass(frozen=True, slots=True)
class Shift:
    """How far a suspension moves the due day and the safe day, and why."""

    due_by: dt.timedelta = _NO_TIME
    safe_by: dt.timedelta = _NO_TIME
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    standing: Standing | None = None


def shift_for(
    record: Record, starts_on: dt.date, last_day: dt.date, facts: Facts
) -> Shift:
    """Return what a written claim does to a suit clock that it suspends.

    The clock is stopped from the carrier's receipt of the claim until it refuses
    in writing and returns the documents. While that is pending the due day is
    as if the refusal came on ``as_of``, and the safe day counts on nothing.
    """
    claimed = facts.claim_received_on
    if not record.is_suspended_by_claim or claimed is None:
        return Shift()
    if claimed > last_day:
        return Shift(
            notes=(
                "The claim was received after the last day, so it suspends nothing.",
            )
        )
    stopped = max(claimed, starts_on)
    refused = first_disallowed_on(facts)
    disputed = first_disputed_on(facts)
    if refused is not None:
        return _ended(stopped, refused, disputed, facts.documents_returned_on)
    return _pending(stopped, disputed, facts.as_of)


def _days(start: dt.date, end: dt.date) -> dt.timedelta:
    return max(end - start, _NO_TIME)


def _ended(
    stopped: dt.date,
    refused: dt.date,
    disputed: dt.date | None,
    returned: dt.date | None,
) -> Shift:
    ended = max(refused, returned) if returned else refused
    due_by = _days(stopped, ended)
    safe_by = _days(stopped, disputed) if disputed else due_by
    return Shift(
        due_by=due_by,
        safe_by=safe_by,
        steps=(
            (
                f"The written claim stopped the clock on {in_words(stopped)}; the "
                f"refusal restarted it on {in_words(ended)}: {due_by.days} days are "
                "added."
            ),
        ),
        notes=() if returned else (_NOT_RETURNED,),
        standing="disputed" if disputed else "running",
    )


def _pending(
    stopped: dt.date, disputed: dt.date | None, as_of: dt.date | None
) -> Shift:
    due_by = _days(stopped, as_of) if as_of else _NO_TIME
    safe_by = min(_days(stopped, disputed), due_by) if disputed else _NO_TIME
    steps = [f"The written claim stopped the clock on {in_words(stopped)}."]
    if as_of and due_by:
        steps.append(
            f"If it were refused on {in_words(as_of)}, {due_by.days} days would be "
            "added."
        )
    return Shift(
        due_by=due_by,
        safe_by=safe_by,
        steps=tuple(steps),
        notes=(_STANDS_STILL,),
        standing="disputed" if disputed else "suspended",
    )

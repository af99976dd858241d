"""What the carrier's letters do to the clock of a suit, by what that clock waits for."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from claims.rules.deadlines.facts import Facts
from claims.rules.deadlines.starts import (
    Began,
    first_disallowed_on,
    first_disputed_on,
    letters_in_order,
    trigger_words,
)
from claims.rules.regimes.records import Record
from inventory.rules.reckoning.calendars import in_words

Clock = Literal["from-refusal", "stopped", "never-stopped", "from-another-day"]
Said = Literal["offer", "two-minds", "repeat", "any"]


@dataclass(frozen=True, slots=True)
class LetterNote:
    """What one letter does to one kind of clock. No regimes named: all of them."""

    clock: Clock
    said: Said
    words: str
    authority: str
    regimes: tuple[str, ...] = ()


_US = "49 U.S.C. 14706(e)(2)(A), 11706(e)(2)(A)"
_STOPPED = "CMR Art 32(2); CIM Art 48(3)"

NOTES = (
    LetterNote(
        "from-refusal",
        "offer",
        "The offer of {day} is no disallowance: it starts no clock.",
        _US,
    ),
    LetterNote(
        "from-refusal",
        "two-minds",
        "The letter of {day} both offers and declines. Whether it starts the clock is "
        "disputed, so the safe date counts from it.",
        _US,
    ),
    LetterNote(
        "from-refusal",
        "repeat",
        "The refusal of {day} is a repeat: it restarts nothing.",
        "49 U.S.C. 14706(e)(1), 11706(e)(1)",
    ),
    LetterNote(
        "stopped",
        "offer",
        "The offer of {day} is no written refusal: it restarts no clock.",
        _STOPPED,
    ),
    LetterNote(
        "stopped",
        "two-minds",
        "The letter of {day} both offers and declines. It may have restarted the clock "
        "for the part in dispute.",
        _STOPPED,
    ),
    LetterNote(
        "stopped",
        "repeat",
        "The refusal of {day} is a repeat: it restarts nothing.",
        _STOPPED,
    ),
    LetterNote(
        "never-stopped",
        "any",
        "The carrier's letters change nothing here: only a written claim in time stops "
        "this clock.",
        _STOPPED,
    ),
    LetterNote(
        "from-another-day",
        "any",
        "The clock runs from {start}, whatever the carrier answers: its letters neither "
        "start nor stop it.",
        "Montreal Art 35; COGSA sec. 3(6); Hague-Visby Art III r.6",
        ("montreal", "cogsa", "hague-visby"),
    ),
)
"""Under a period of the contract's own, from another day, we do not know: no row."""


def starts_by_disallowance(record: Record) -> bool:
    """Return whether the carrier's refusal in writing starts this clock."""
    return any(start.trigger == "disallowance" for start in record.starts)


def clock_of(record: Record, *, is_stopped: bool) -> Clock:
    """Return what the clock waits for; ``is_stopped``: a claim suspended it."""
    if starts_by_disallowance(record):
        return "from-refusal"
    if record.is_suspended_by_claim:
        return "stopped" if is_stopped else "never-stopped"
    return "from-another-day"


def letter_notes(
    record: Record, began: Began, facts: Facts, *, is_stopped: bool
) -> tuple[str, ...]:
    """Return a note for each letter that somebody may take for more than it is."""
    if record.duty != "suit":
        return ()
    clock = clock_of(record, is_stopped=is_stopped)
    rows = {
        row.said: row for row in NOTES if row.clock == clock and _holds(row, record)
    }
    start = trigger_words(began.trigger, facts)
    found = [
        rows[said].words.format(day=in_words(day), start=start)
        for said, day in _letters(facts, clock)
        if said in rows
    ]
    return tuple(dict.fromkeys(found))


def _holds(row: LetterNote, record: Record) -> bool:
    regime, _, rest = record.key.partition("/")
    return not row.regimes or (regime in row.regimes and not rest.endswith("+term"))


def _letters(facts: Facts, clock: Clock) -> list[tuple[Said, dt.date]]:
    """Return what each answer is to this clock: not the first refusal, nor a payment."""
    first, disputed = first_disallowed_on(facts), first_disputed_on(facts)
    found: list[tuple[Said, dt.date]] = []
    for letter in letters_in_order(facts):
        if letter.kind == "paid" or (letter.kind, letter.on) == ("disallowed", first):
            continue
        if clock in {"never-stopped", "from-another-day"}:
            found.append(("any", letter.on))
        elif letter.kind == "disallowed":
            found.append(("repeat", letter.on))
        elif letter.kind == "offer" and _is_open(letter.on, facts, clock):
            found.append(("offer", letter.on))
        elif letter.kind == "offer-and-decline" and letter.on == disputed:
            found.append(("two-minds", letter.on))
    return found


def _is_open(offered: dt.date, facts: Facts, clock: Clock) -> bool:
    """Return whether an offer fell where it could be taken for a refusal."""
    if clock == "from-refusal":
        return True
    claimed = facts.claim_received_on or dt.date.min
    ended = first_disputed_on(facts) or first_disallowed_on(facts) or dt.date.max
    return claimed <= offered < ended

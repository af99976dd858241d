"""The letters of waiting: cover mail, reminder, status letter, tracer, documents.

Periods come with the facts and run from the proven receipt of the claim. Where no rule
of the carriage sets one, the letter asks and cites nothing. No letter here claims a
penalty: none is due for an answer that is late.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from claims.rules.letters import due
from claims.rules.letters.claim_letter import LetterFacts, LetterKind, NoChoices
from claims.rules.letters.claim_letter_needs import (
    has_amount,
    has_claim_file,
    is_for_carrier,
    is_live,
    is_not_proven,
    is_ours,
    is_proven,
    is_unanswered,
    was_sent,
)
from claims.rules.letters.due import Waiting
from claims.rules.letters.notices import Letter
from inventory.rules.reckoning.calendars import in_full, in_words
from inventory.rules.reckoning.money import format_cents

_TO_CARRIER = (is_ours, is_live, is_for_carrier, has_amount)


@dataclass(frozen=True)
class DocumentsSent:
    """Which documents go along, and in answer to which request."""

    documents: tuple[str, ...]
    asked_on: date | None = None
    asked_for: str = ""


def waiting_of(facts: LetterFacts) -> Waiting:
    """Return how long we have waited for the carrier."""
    answers = (facts.offered_on, facts.disallowed_on, facts.settled_on)
    return Waiting(
        today=facts.today,
        sent_on=facts.sent_on,
        received_on=facts.received_on,
        acknowledged_on=facts.acknowledged_on,
        answered_on=min((day for day in answers if day), default=None),
        claim_by=facts.claim_by,
        periods=facts.periods,
        letters=facts.letters,
    )


def claimed(facts: LetterFacts) -> str:
    """Return the amount of the claim, with its currency."""
    return format_cents(facts.claimed_cents, facts.currency, code=True)


def letter(facts: LetterFacts, subject: str, *paragraphs: str) -> Letter:
    """Return a letter whose subject names our claim; empty paragraphs are left out."""
    body = "\n\n".join(part for part in paragraphs if part)
    return Letter(f"Claim {facts.claim_number}: {subject}", body)


def _cover(facts: LetterFacts, _choices: NoChoices) -> Letter:
    period = facts.periods.acknowledge
    within = (
        f" within {period.days} days of receiving it ({period.authority})"
        if period
        else ""
    )
    delivered = (
        f" It was delivered to us on {in_full(facts.delivered_on)}."
        if facts.delivered_on
        else ""
    )
    return letter(
        facts,
        "cargo claim",
        f"We enclose our claim on this shipment.{delivered} We claim {claimed(facts)}.",
        f"Please pay it to:\n{facts.pay_to}"
        if facts.pay_to
        else "Please pay it to us.",
        f"Please acknowledge the claim in writing{within}, and tell us your claim number "
        "and any further document that you need.",
    )


def _received(facts: LetterFacts) -> str:
    """Return the sentence that says when the carrier received the claim, with proof."""
    assert facts.received_on is not None  # noqa: S101 - a need of the kinds
    proof = facts.received_words.strip().rstrip(".")
    shown = f" Our proof of delivery: {proof}." if proof else ""
    day = in_full(facts.received_on)
    return f"You received our claim for {claimed(facts)} on {day}.{shown}"


def _not_too_early(facts: LetterFacts) -> str:
    until = due.acknowledge_by(waiting_of(facts))
    if until is None or facts.today > until:
        return ""
    return f"The carrier has until {in_words(until)} to acknowledge the claim."


def _not_acknowledged(facts: LetterFacts) -> str:
    if facts.acknowledged_on is None:
        return ""
    return f"The carrier acknowledged the claim on {in_words(facts.acknowledged_on)}."


def _reminder(facts: LetterFacts, _choices: NoChoices) -> Letter:
    until = due.acknowledge_by(waiting_of(facts))
    period = facts.periods.acknowledge
    owed = (
        f" It was due within {period.days} days, by {in_full(until)} "
        f"({period.authority})."
        if until and period
        else ""
    )
    return letter(
        facts,
        "no acknowledgment received",
        _received(facts),
        f"We have not received your written acknowledgment.{owed}",
        "Please acknowledge the claim in writing now. Tell us your claim number and any "
        "further document that you need.",
    )


def _period_over(facts: LetterFacts) -> str:
    waiting = waiting_of(facts)
    if waiting.periods.decide is None or waiting.received_on is None:
        return ""
    ended, then = due.period_ended(waiting), due.next_end(waiting)
    if ended is None:
        return f"The carrier has until {in_words(then)} to decide." if then else ""
    last = waiting.last(due.STATUS)
    if last is None or last.dated_on < ended:
        return ""
    again = f" The next one is for {in_words(then)}." if then else ""
    return (
        f"The status letter for this period is letter {last.number} of "
        f"{in_words(last.dated_on)}.{again}"
    )


def _status(facts: LetterFacts, _choices: NoChoices) -> Letter:
    return letter(
        facts,
        "decision or status requested",
        _received(facts),
        _owed(facts),
        "Please send us your decision in writing: payment, a firm offer of settlement, "
        "or a denial with its reasons. If you cannot decide yet, tell us the status of "
        f"the claim and the reason for the delay{_report_cite(facts)}.",
    )


def _report_cite(facts: LetterFacts) -> str:
    report = facts.periods.report
    return f" ({report.authority})" if report else ""


def _owed(facts: LetterFacts) -> str:
    """Return which day has come, counted from the proven receipt."""
    nothing = "We have not received your payment, your offer or your denial."
    ended, decide = due.period_ended(waiting_of(facts)), facts.periods.decide
    if ended is None or decide is None or facts.received_on is None:
        return nothing
    days = (ended - facts.received_on).days
    first = facts.received_on + timedelta(days=decide.days)
    if days == decide.days:
        said = f"Your {days} days to decide ended on {in_full(first)}"
    else:
        said = (
            f"Your {decide.days} days to decide ended on {in_full(first)}, and day {days} "
            f"was {in_full(ended)}"
        )
    if first == facts.today:
        said = f"Your {days} days to decide end today"
    return f"{said} ({decide.authority}). {nothing}"


def _tracer(facts: LetterFacts, _choices: NoChoices) -> Letter:
    assert facts.sent_on is not None  # noqa: S101 - a need of the kind
    how = f" by {facts.sent_how}" if facts.sent_how else ""
    return letter(
        facts,
        "copy, because we have no proof that it reached you",
        f"Copy of our claim of {in_full(facts.sent_on)}. Not a second claim; if the "
        "first did not reach you, this is its filing.",
        f"We sent the claim for {claimed(facts)}{how} and enclose all of it again.",
        "Please confirm in writing the day on which you received it, and tell us your "
        "claim number.",
    )


def _has_documents(facts: LetterFacts) -> str:
    return "" if facts.documents else "No document of the claim is on file yet."


def _documents(facts: LetterFacts, choices: DocumentsSent) -> Letter:
    asked = f"On {in_full(choices.asked_on)} you asked us" if choices.asked_on else ""
    if asked and choices.asked_for:
        opening = f"{asked}:\n> {choices.asked_for}"
    elif asked:
        opening = f"{asked} for documents."
    else:
        opening = "These documents belong to our claim."
    listed = "\n".join(
        f"{number}. {name}" for number, name in enumerate(choices.documents, start=1)
    )
    return letter(
        facts,
        "documents enclosed",
        *_parted(opening),
        f"We enclose:\n{listed}",
        f"The claim is for {claimed(facts)} and is not changed by this letter. Please "
        "confirm that you have these documents, and name any that you still need.",
    )


def _parted(opening: str) -> tuple[str, ...]:
    """Return the opening and its quotation as two paragraphs."""
    return tuple(opening.split("\n", 1))


KINDS_OF_WAITING: tuple[LetterKind[Any], ...] = (
    LetterKind(
        key="cover",
        name="Cover mail of the claim",
        to="carrier",
        lead="Goes with the claim file when the claim is sent.",
        cite="49 CFR 370.3(b)",
        write=_cover,
        needs=(*_TO_CARRIER, has_claim_file, is_not_proven),
        encloses_claim=True,
    ),
    LetterKind(
        key=due.TRACER,
        name="Tracer: copy of the claim",
        to="carrier",
        lead="The claim was sent, and there is no proof that the carrier received it.",
        cite="49 CFR 370.3(b)",
        write=_tracer,
        needs=(*_TO_CARRIER, was_sent, is_not_proven, has_claim_file),
        encloses_claim=True,
    ),
    LetterKind(
        key=due.REMINDER,
        name="Reminder: no acknowledgment",
        to="carrier",
        lead="The carrier received the claim and has not acknowledged it.",
        cite="49 CFR 370.5(a)",
        write=_reminder,
        needs=(
            *_TO_CARRIER,
            is_proven,
            _not_acknowledged,
            is_unanswered,
            _not_too_early,
        ),
    ),
    LetterKind(
        key=due.STATUS,
        name="Status letter: decision, or status and its reason",
        to="carrier",
        lead="The carrier's time to decide, or to report, has passed. Claims no penalty.",
        cite="49 CFR 370.9",
        write=_status,
        needs=(*_TO_CARRIER, is_proven, is_unanswered, _period_over),
    ),
    LetterKind(
        key="documents",
        name="Documents for the claim",
        to="carrier",
        lead="The carrier asked for documents, or more of them are on file now.",
        cite="49 CFR 370.7",
        write=_documents,
        needs=(*_TO_CARRIER, was_sent, _has_documents),
    ),
)

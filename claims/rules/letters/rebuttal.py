"""The letter that answers a written denial, with the points that the record supports.

Each fact is told once, and each rule once. Nothing is said of what is not on record, and
no day of ours to sue is in it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import amount, compose, sentence
from claims.rules.letters.points_of_claim import OF_CLAIM
from claims.rules.letters.points_of_damage import OF_DAMAGE
from claims.rules.letters.rebuttal_reasons import REASONS, Point
from claims.rules.letters.terms_of_answers import (
    TO_CARRIER,
    answers_in_time,
)
from inventory.rules.reckoning.calendars import in_full

POINTS = OF_DAMAGE | OF_CLAIM
"""The points by the key of the carrier's reason."""


@dataclass(frozen=True)
class RebuttalChoices:
    """The points as "reason/name", what the manager adds, the day to answer by."""

    points: tuple[str, ...]
    own_words: str
    answer_by: date


def offered(facts: LetterFacts) -> dict[str, tuple[Point, ...]]:
    """Return by reason the points behind which a fact stands."""
    record = facts.record
    if record is None:
        return {}
    found = {
        reason: tuple(
            point
            for point in POINTS[reason]
            if (point.so or point.law(facts)) and point.fact(facts, record)
        )
        for reason in REASONS
    }
    return {reason: points for reason, points in found.items() if points}


def key_of(reason: str, point: Point) -> str:
    """Return what a form sends for this point."""
    return f"{reason}/{point.name}"


def _is_declined(facts: LetterFacts) -> str:
    if facts.disallowed_on is not None:
        return ""
    return (
        "The carrier has not declined the claim in writing, as far as is recorded. "
        "Record the written denial first."
    )


def _has_points(facts: LetterFacts) -> str:
    if offered(facts):
        return ""
    return (
        "No fact on record answers a reason of the carrier yet. Record findings, photos, "
        "notices or documents first."
    )


def _chose_points(facts: LetterFacts, choices: RebuttalChoices) -> str:
    there = {
        key_of(reason, point)
        for reason, points in offered(facts).items()
        for point in points
    }
    if not choices.points:
        return "Choose at least one point."
    if set(choices.points) - there:
        return (
            "A point that you chose has no fact on record any more. Read the points "
            "again."
        )
    return ""


def _write(facts: LetterFacts, choices: RebuttalChoices) -> Letter:
    day = in_full(facts.disallowed_on) if facts.disallowed_on else ""
    demand = amount(facts, facts.claimed_cents)
    answer_by = in_full(choices.answer_by)
    return compose(
        f"Claim {facts.claim_number}: request to reopen and pay",
        f"Your letter of {day} declines our claim, in whole or in part. Please reopen "
        f"the claim and pay {demand}. The record answers your reasons as follows.",
        *_answers(facts, choices.points),
        sentence(choices.own_words),
        f"Please let us have your payment by {answer_by}, or by the same day your answer "
        "to each numbered point with the documents on which it rests.",
        "All our rights are reserved. Nothing in this letter gives up any part of the "
        "claim.",
    )


def _answers(facts: LetterFacts, keys: Iterable[str]) -> Iterator[str]:
    """Yield a head with its numbered points, reason by reason."""
    wanted = set(keys)
    said: dict[str, int] = {}
    count = 0
    for reason, points in offered(facts).items():
        lines = []
        for point in points:
            if key_of(reason, point) in wanted:
                count += 1
                lines.append(f"{count}. {_said(point, facts, said, count)}")
        if lines:
            yield "\n".join([f"{REASONS[reason].head}:", *lines])


def _said(point: Point, facts: LetterFacts, said: dict[str, int], number: int) -> str:
    """Return a point in words; a fact that was told before is named by its number.

    ``said`` holds each fact and each rule with the point that told it first.
    """
    fact = point.fact(facts, facts.record) if facts.record else ""
    law = point.law(facts)
    parts = (
        f"See point {said[fact]}." if fact in said else fact,
        point.so,
        "" if law in said else law,
    )
    said |= {text: number for text in (fact, law) if text not in said}
    return " ".join(part for part in parts if part)


REBUTTAL: LetterKind[RebuttalChoices] = LetterKind(
    key="rebuttal",
    name="Answer to a written denial",
    to="carrier",
    lead=(
        "Use it when the carrier has declined the claim in writing. Choose the points "
        "that answer its reasons. Each quotes what is on record."
    ),
    cite=(
        "49 U.S.C. 14706; 49 CFR 370; Missouri Pacific v. Elmore & Stahl, 377 U.S. 134; "
        "NMFC item 300135"
    ),
    write=_write,
    needs=(*TO_CARRIER, _is_declined, _has_points),
    checks=(_chose_points, answers_in_time),
)

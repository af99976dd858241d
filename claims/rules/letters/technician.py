"""The technician's statement: drafted from the record, edited and signed by them.

It says what was seen, when, and who was there, and nothing on the cause. It is an exhibit
of the claim file, not a letter to the carrier. Common practice, no source.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from claims.rules.letters.cause_words import causes_said
from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.goods import GoodsFacts, PointRead, SeenFinding
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import sentence
from claims.rules.letters.waiting import letter
from inventory.rules.reckoning.calendars import in_full

_UNITS = (
    r"inches|inch|in\.|in(?! (?:the|a|an|this|that|my|our)\b)|feet|foot|ft|mm|cm|m|psi|"
    r"kpa|bar|lbs|lb|kg|oz|gal|qt|degrees|degree|percent|%|\u00b0|\"|'|hours|hour|"
    r"a\.?m\.?|p\.?m\.?|photos|photo"
)
_NUMBER = re.compile(
    r"(?<![\w/])(\d[\d,]*(?:[.:]\d+)*(?:[ -]\d+/\d+|/\d+)?)"
    rf"(?:[ -]?({_UNITS}))?(?!\w)",
    re.IGNORECASE,
)
_NAME = re.compile(r"(?<!\w)(?=\w*\d)(?=\w*[a-z])\w+", re.IGNORECASE)
_GLUED_FRACTION = re.compile(r"(?<=\d)(?=[\u00bc-\u00be\u2150-\u215e])")
_ONE_NAME = {
    "inches": "in", "inch": "in", '"': "in", "feet": "ft", "foot": "ft",
    "'": "ft", "lbs": "lb", "degrees": "\u00b0", "degree": "\u00b0", "percent": "%",
    "hour": "hours", "photo": "photos",
}  # fmt: skip


@dataclass(frozen=True)
class StatementChoices:
    """The statement as the technician edited it, and who else was there."""

    text: str
    present: str


def draft_of(goods: GoodsFacts) -> str:
    """Return the statement as the record has it, for the technician to edit."""
    return "\n\n".join(passage for passage in _passages(goods) if passage)


def _passages(goods: GoodsFacts) -> Iterator[str]:
    yield "\n".join(f"{one.crate} was opened on {one.opened}." for one in goods.opened)
    for finding in goods.findings:
        yield _seen(finding)
    yield "\n".join(_read(point) for point in goods.readings)


def _seen(finding: SeenFinding) -> str:
    photos = (
        f" {finding.photos} photo{'' if finding.photos == 1 else 's'}."
        if finding.photos
        else ""
    )
    return (
        f"Finding {finding.number}: {finding.on}, {finding.what}. Seen {finding.stage} "
        f"on {finding.seen}. {sentence(finding.facts)}{photos}"
    )


def _read(point: PointRead) -> str:
    reading = f", reading {point.reading}" if point.reading else ""
    return f"{point.on}, {point.point}: {point.result}{reading}."


def numbers_of(text: str) -> Counter[str]:
    """Return each number of a text with its unit, in one form, and how often it is there.

    "12 in.", "12 inches" and '12"' are one number; "12 cm" is another. A serial or a
    model that has a digit counts as one.
    """
    plain = unicodedata.normalize("NFKC", _GLUED_FRACTION.sub(" ", text))
    plain = plain.replace("\u2044", "/")
    found: Counter[str] = Counter()
    for match in _NUMBER.finditer(plain):
        number = match[1].replace(",", "").replace("-", " ")
        unit = (match[2] or "").replace(".", "")
        known = _ONE_NAME.get(unit.casefold(), unit.casefold())
        found[f"{number} {known}".strip()] += 1
    names = _NAME.findall(_NUMBER.sub(" ", plain))
    return found + Counter(name.casefold() for name in names)


def marks_of(goods: GoodsFacts, text: str) -> tuple[str, ...]:
    """Return a sentence for each number of the record that the text has no longer.

    And one for the numbers that the text has and the record has not.
    """
    left = numbers_of(text)
    marks = []
    for passage in _passages(goods):
        here = numbers_of(passage)
        lost = [number for number in here if left[number] < here[number]]
        left.subtract(here)
        if lost:
            said = " ".join(passage.split())
            marks.append(f"Not stated above: {_listed(lost)}. The record says: {said}")
    added = [number for number, times in left.items() if times > 0]
    if added:
        marks.append(f"Stated above and not in the record: {_listed(added)}.")
    return tuple(marks)


def _listed(numbers: Iterable[str]) -> str:
    return "; ".join(numbers)


def _has_seen(facts: LetterFacts) -> str:
    if facts.goods.findings:
        return ""
    return (
        "You recorded no finding on this freight bill, so there is nothing for you to "
        "state. The technician who recorded the findings writes the statement."
    )


def _says_no_cause(_facts: LetterFacts, choices: StatementChoices) -> str:
    said = causes_said(f"{choices.text}\n\n{choices.present}")
    if not said:
        return ""
    words = ", ".join(f'"{one}"' for one in said)
    return f"Say what you saw, not why. Take out or reword: {words}."


def _is_written(_facts: LetterFacts, choices: StatementChoices) -> str:
    if choices.text.strip() and choices.present.strip():
        return ""
    return "Enter what you saw and who else was there. Write Nobody if you were alone."


def _write(facts: LetterFacts, choices: StatementChoices) -> Letter:
    goods = facts.goods
    marks = marks_of(goods, choices.text)
    return letter(
        facts,
        "technician's statement",
        f"I, {goods.technician}, inspected these goods myself at {facts.sender.name}. "
        "This is what I saw:",
        choices.text.strip(),
        f"Who else was there: {sentence(choices.present)}",
        "\n".join(("Compared with the record of the inspection:", *marks))
        if marks
        else "",
        "I have read this statement. It is true to what I saw. I confirmed it under my "
        f"own sign-in on {in_full(facts.today)}.",
    )


STATEMENT: LetterKind[StatementChoices] = LetterKind(
    key="technician-statement",
    name="Technician's statement",
    to="ourselves",
    lead=(
        "Read the draft, put it in your own words, and sign it. Say what you saw, not why "
        "it happened."
    ),
    cite="Common practice, no source",
    write=_write,
    needs=(_has_seen,),
    checks=(_is_written, _says_no_cause),
    role="state-findings",
    kept_as="statement",
)

"""What changed between two claim files of one claim, from their frozen content."""

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from claims.rules.packet.content import Exhibit, PacketContent

_SAID = frozenset({"rows", "closing", "amount", "currency", "kind", "supplement"})
"""Fields of the statement that the amounts below say better."""

WORDS: Mapping[str, str] = {
    "addressee": "Addressed to",
    "article": "Article",
    "articles": "Article",
    "as_of": "As of",
    "assertion": "Liability",
    "at_delivery": "Photos at delivery",
    "at_opening": "Photos at opening",
    "basis": "Measure of the loss",
    "bol": "Bill of lading",
    "carrier_claim_number": "Carrier's claim number",
    "certificate": "Certificate",
    "custody": "Custody",
    "delivered": "Delivered",
    "facts": "Facts",
    "faces": "Sides",
    "finding": "Finding",
    "freight_class": "Class as billed",
    "kept_at": "Where it was in between",
    "neutral_lines": "Why a document is a copy",
    "no_other_claim": "No other claim",
    "pay_to": "Pay to",
    "pro": "PRO",
    "recovered": "Recovered",
    "scac": "SCAC",
    "seen_at_delivery": "To be seen at delivery",
    "signer": "Signed by",
    "unit_price": "Unit price",
    "words": "Exceptions",
}
"""Words for the fields whose names do not read as words."""


@dataclass(frozen=True)
class Change:
    """One fact or amount as it was and as it is; empty where it was not there."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class ExhibitChange:
    """One exhibit that is new, gone, or shown otherwise."""

    number: int
    title: str
    how: str


@dataclass(frozen=True)
class Changes:
    """What changed from the earlier claim file to the later one."""

    amounts: tuple[Change, ...]
    facts: tuple[Change, ...]
    exhibits: tuple[ExhibitChange, ...]

    @property
    def is_same(self) -> bool:
        """Return whether nothing changed."""
        return not (self.amounts or self.facts or self.exhibits)


def changes_between(before: PacketContent, after: PacketContent) -> Changes:
    """Return the changes of amounts, facts and exhibits."""
    return Changes(
        amounts=_differing(_amounts(before), _amounts(after)),
        facts=_differing(_facts(before), _facts(after)),
        exhibits=tuple(_exhibits(before.exhibits, after.exhibits)),
    )


def _differing(before: dict[str, str], after: dict[str, str]) -> tuple[Change, ...]:
    return tuple(
        Change(label, before.get(label, ""), after.get(label, ""))
        for label in [*after, *(one for one in before if one not in after)]
        if before.get(label, "") != after.get(label, "")
    )


def _amounts(content: PacketContent) -> dict[str, str]:
    """Return the demand, each line and each step of the worksheet, by its words."""
    statement = content.statement
    found = {"Amount of the claim": f"{statement.currency} {statement.amount}"}
    for line in content.schedule.lines:
        name = f"Line {line.number}, {line.label}"
        found[name] = line.amount
        for part in line.parts:
            said = " x ".join(one for one in (part.quantity, part.unit_price) if one)
            words = f"{said} = {part.amount}" if said else part.amount
            _add(found, f"{name}: {part.text}", words)
        for step in line.steps:
            _add(found, f"{name}: {step.text}", step.amount)
    for step in content.schedule.worksheet:
        _add(found, step.text, step.amount)
    return found


def _facts(content: PacketContent) -> dict[str, str]:
    """Return every fact that the claim file states, by its words."""
    found: dict[str, str] = {}
    for label, value in _stated(content):
        for words, text in _texts(value, label):
            _add(found, words, text)
    return found


def _stated(content: PacketContent) -> Iterator[tuple[str, object]]:
    """Yield what the claim file states beside its amounts, each with its label."""
    statement, cover = content.statement, content.cover
    yield "Edition", content.edition
    yield _word("addressee"), cover.addressee
    yield _word("pay_to"), cover.pay_to
    for field in dataclasses.fields(statement):
        if field.name not in _SAID:
            yield _word(field.name), getattr(statement, field.name)
    yield _word("basis"), content.schedule.basis
    for receipt in content.receipts:
        yield f"Exceptions {receipt.delivery}", receipt
    for finding in content.findings:
        yield f"Finding {finding.number}", finding
    for custody in content.custody:
        yield f"Custody {custody.crate}", custody
    yield _word("neutral_lines"), content.neutral_lines


def _texts(value: object, label: str) -> Iterator[tuple[str, str]]:
    """Yield each text in a value with its label; numbers of exhibits are left out."""
    if isinstance(value, str):
        if value:
            yield label, value
    elif isinstance(value, tuple):
        if value and all(isinstance(one, str) for one in value):
            yield label, "\n".join(str(one) for one in value)
        else:
            for place, one in enumerate(value, start=1):
                yield from _texts(one, f"{label} {place}" if len(value) > 1 else label)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            words = _word(field.name).lower()
            yield from _texts(getattr(value, field.name), f"{label}, {words}")


def _word(name: str) -> str:
    return WORDS.get(name) or name.replace("_", " ").capitalize()


def _add(found: dict[str, str], label: str, text: str) -> None:
    found[label] = f"{found[label]}\n{text}" if label in found else text


def _exhibits(
    before: tuple[Exhibit, ...], after: tuple[Exhibit, ...]
) -> Iterator[ExhibitChange]:
    """Yield what is new, what is gone and what is shown otherwise, by original file."""
    was = {one.sha256: one for one in before}
    now = {one.sha256: one for one in after}
    for one in after:
        old = was.get(one.sha256)
        if old is None:
            yield ExhibitChange(one.number, one.title, "Added")
            continue
        told = [words for words, is_so in _otherwise(old, one) if is_so]
        if told:
            yield ExhibitChange(one.number, one.title, ", ".join(told))
    for one in before:
        if one.sha256 not in now:
            yield ExhibitChange(one.number, one.title, "Left out (number as it was)")


def _otherwise(old: Exhibit, new: Exhibit) -> tuple[tuple[str, bool], ...]:
    return (
        (f"Was exhibit {old.number}", old.number != new.number),
        ("Marks changed", old.marks != new.marks),
        (f"Was titled {old.title}", old.title != new.title),
        ("Caption changed", old.caption != new.caption),
        ("Pages bound in changed", old.shown != new.shown),
        ("Why it is a copy changed", old.neutral_line != new.neutral_line),
    )

"""How a rebuttal names photos, documents, findings and people of the record."""

from collections.abc import Iterable

from claims.rules.letters.parts import sentence
from claims.rules.letters.record_facts import Filed, Found, Receipt, RecordFacts
from claims.rules.packet.wording import listed
from inventory.rules.reckoning.calendars import in_full


def cited(exhibits: Iterable[int]) -> str:
    """Return " (Exhibits 4 and 5)", or nothing where there is no number."""
    numbers = [str(one) for one in sorted(set(exhibits)) if one]
    if not numbers:
        return ""
    return f" (Exhibit{'s' if len(numbers) > 1 else ''} {listed(numbers)})"


def photos_of(files: Iterable[Filed]) -> str:
    """Return "3 photos, the first of March 10, 2026 (Exhibits 4 and 5)"."""
    rows = list(files)
    if not rows:
        return ""
    first = _first_day(rows)
    count = f"{len(rows)} photos, the first" if len(rows) > 1 else "1 photo"
    return f"{count} of {first}{cited(row.exhibit for row in rows)}"


def document(record: RecordFacts, kind: str, name: str) -> str:
    """Return "the waiver (Exhibit 9)", or with its day where it has no number."""
    rows = record.of(kind)
    if not rows:
        return ""
    where = cited(row.exhibit for row in rows)
    return (
        f"{name}{where}" if where else f"{name}, on file here since {_first_day(rows)}"
    )


def _first_day(rows: Iterable[Filed]) -> str:
    return in_full(min(row.on for row in rows))


def your_driver(row: Receipt) -> str:
    """Return "your driver" with the name, where it is known."""
    return f"your driver {row.driver}" if row.driver else "your driver"


def found_words(rows: Iterable[Found]) -> str:
    """Return each finding as a sentence: what, as seen, in which exhibits."""
    return " ".join(
        f"{row.what[:1].upper()}{row.what[1:]}: {sentence(row.facts).rstrip('.')}"
        f"{cited(row.exhibits)}."
        for row in rows
    )


def plural(count: int, noun: str) -> str:
    """Return "1 crate" or "4 crates"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"

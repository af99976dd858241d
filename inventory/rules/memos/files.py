"""Reading a supplier's memo from rows of text: every line, or every problem.

A file is imported whole or not at all. The first row names the columns.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.rules.core.table_files import MOST_LINES, Problem
from inventory.rules.core.text import clean_text
from inventory.rules.memos.matching import Line, mark_key
from inventory.rules.reckoning.money import MoneyError, allocate, parse_amount

MOST_PROBLEMS = 100
MOST_COUNT = 500

_NAMES = {
    "mark": "mark",
    "crate": "mark",
    "crate mark": "mark",
    "grai": "mark",
    "type": "type",
    "crate type": "type",
    "count": "count",
    "quantity": "count",
    "qty": "count",
    "amount": "amount",
    "credit": "amount",
    "remark": "remark",
    "note": "remark",
    "reason": "remark",
}
COLUMNS = ("mark", "type", "count", "amount", "remark")
_MOST = {"mark": 60, "type": 60, "remark": 200}

HEADER_HELP = (
    "The first row must name the columns: amount, and mark or type; count and "
    "remark are optional."
)


@dataclass(frozen=True)
class Reading:
    """All lines of a file, or all its problems; never both."""

    lines: tuple[Line, ...] = ()
    problems: tuple[Problem, ...] = ()
    more_problems: int = 0


def read_lines(
    rows: Iterable[Sequence[str]], *, currency: str, separator: str = ","
) -> Reading:
    """Return the lines of the sheet, or every problem with its row and reason."""
    table = [[clean_text(cell).strip() for cell in row] for row in rows]
    if not table or not any(any(row) for row in table):
        return Reading(problems=(Problem(1, f"The file is empty. {HEADER_HELP}"),))
    places, against = _header(table[0])
    if against:
        return Reading(problems=(Problem(1, against),))
    if len(table) - 1 > MOST_LINES:
        return Reading(
            problems=(
                Problem(
                    MOST_LINES + 2,
                    f"The file has more than {MOST_LINES:,} lines. Split it into two "
                    "files.",
                ),
            )
        )
    return _body(table, places, separator, currency)


def _header(cells: Sequence[str]) -> tuple[dict[str, int], str]:
    places: dict[str, int] = {}
    for place, cell in enumerate(cells):
        name = _NAMES.get(" ".join(cell.casefold().split()))
        if name in places:
            return {}, f"Two columns are named {name}. {HEADER_HELP}"
        if name:
            places[name] = place
    if "amount" not in places or not {"mark", "type"} & places.keys():
        return {}, f"The columns do not match a memo. {HEADER_HELP}"
    return places, ""


def _body(
    table: list[list[str]], places: dict[str, int], separator: str, currency: str
) -> Reading:
    lines: list[Line] = []
    problems: list[Problem] = []
    first_seen: dict[str, int] = {}
    for number, row in enumerate(table[1:], start=2):
        cells = {
            name: row[place] if place < len(row) else ""
            for name, place in places.items()
        }
        if not any(row):
            continue
        made, against = _row(cells, separator, currency, len(lines))
        against = against or _repeated(cells.get("mark", ""), number, first_seen)
        if against:
            problems.append(Problem(number, against))
        lines += made
    if not lines and not problems:
        problems.append(Problem(2, "There are no lines below the header."))
    if len(lines) > MOST_LINES:
        problems.append(
            Problem(2, f"The counts add up to more than {MOST_LINES:,} crates.")
        )
    if problems:
        return Reading(
            problems=tuple(problems[:MOST_PROBLEMS]),
            more_problems=max(0, len(problems) - MOST_PROBLEMS),
        )
    return Reading(lines=tuple(lines))


def _repeated(mark: str, number: int, first_seen: dict[str, int]) -> str:
    key = mark_key(mark)
    if not key:
        return ""
    earlier = first_seen.setdefault(key, number)
    if earlier == number:
        return ""
    return (
        f"It has the same mark as row {earlier}. If the supplier did credit it "
        "twice, delete this row and enter it on the memo by hand."
    )


def _row(
    cells: dict[str, str], separator: str, currency: str, so_far: int
) -> tuple[list[Line], str]:
    mark, type_name = cells.get("mark", ""), cells.get("type", "")
    if not mark and not type_name:
        return [], "It has neither a mark nor a type."
    for name, most in _MOST.items():
        if len(cells.get(name, "")) > most:
            return [], f"Its {name} is longer than {most} characters."
    amount = cells["amount"]
    if separator == ";" and "," in amount:
        return [], "Enter the amount with a point and no comma, like 1250.00."
    try:
        cents = parse_amount(amount, currency)
    except MoneyError as error:
        return [], f"Amount {amount[:30] or 'missing'}: {error}"
    count, against = _count(cells.get("count", ""), mark)
    if against:
        return [], against
    made = [
        Line(so_far + place, part, mark, type_name, cells.get("remark", ""))
        for place, part in enumerate(allocate(cents, [1] * count), start=1)
    ]
    return made, ""


def _count(text: str, mark: str) -> tuple[int, str]:
    if not text:
        return 1, ""
    plain = text.removesuffix(".0")
    if not (plain.isascii() and plain.isdigit()):
        return 0, f"Its count, {text[:20]}, is not a whole number."
    digits = plain.lstrip("0")
    if len(digits) > 4 or not digits or int(digits) > MOST_COUNT:
        return 0, f"Its count must be from 1 to {MOST_COUNT}."
    count = int(digits)
    if mark and count != 1:
        return 0, "A line with a mark is one crate; its count must be 1."
    return count, ""

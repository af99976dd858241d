"""The lines of a claim as a table inside a letter."""

from collections.abc import Iterable, Sequence

from claims.rules.letters.claim_letter import LetterFacts, LetterLine
from claims.rules.letters.parts import amount, figure
from claims.rules.letters.tables import table_text

SHORT = "short"
"""The outcome of a line whose goods never arrived: there is nothing to hold or sell."""


def chosen_lines(facts: LetterFacts, numbers: Iterable[int]) -> tuple[LetterLine, ...]:
    """Return the live lines with these numbers."""
    wanted = set(numbers)
    return tuple(line for line in facts.lines if line.number in wanted)


def has_lines(facts: LetterFacts) -> str:
    """Return that there is nothing to name in the letter."""
    return "" if facts.lines else "The claim has no lines. Add a line to it first."


def goods_lines(facts: LetterFacts) -> tuple[LetterLine, ...]:
    """Return the live lines whose goods are here."""
    return tuple(line for line in facts.lines if line.outcome != SHORT)


def lines_table(facts: LetterFacts) -> str:
    """Return every live line with its amount, and what they come to.

    Where sums were received before, the claim asks for less than its lines.
    """
    total = sum(line.amount_cents for line in facts.lines)
    sums = [("All lines", amount(facts, total))]
    if facts.claimed_cents and facts.claimed_cents != total:
        sums.append(("Amount of the claim", amount(facts, facts.claimed_cents)))
    heads, *rows = _named(facts.lines)
    before = ("",) * (len(heads) - 1)
    amounts = [figure(facts, line.amount_cents) for line in facts.lines]
    return table_text(
        (*heads, "Amount"),
        [(*row, cents) for row, cents in zip(rows, amounts, strict=True)],
        [(*before, *both) for both in sums],
    )


def goods_table(lines: Sequence[LetterLine]) -> str:
    """Return the goods of these lines, without amounts."""
    heads, *rows = _named(lines)
    return table_text(heads, rows)


def _named(lines: Sequence[LetterLine]) -> list[tuple[str, ...]]:
    """Return the heads, then each line by its number, serial and label.

    Without any serial there is no such column.
    """
    rows = [("Line", "Serial", "What")]
    for line in lines:
        label = line.label
        if line.supplement:
            label = f"{label} (supplement {line.supplement})"
        rows.append((str(line.number), line.serial, label))
    if any(line.serial for line in lines):
        return list(rows)
    return [(number, label) for number, _, label in rows]

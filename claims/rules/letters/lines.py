"""The lines of a claim as a table inside a letter."""

from collections.abc import Iterable

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
    lines = facts.lines
    rows = [(*_named(line), figure(facts, line.amount_cents)) for line in facts.lines]
    total = sum(line.amount_cents for line in lines)
    sums = [("", "", "All lines", amount(facts, total))]
    if facts.claimed_cents and facts.claimed_cents != total:
        sums.append(("", "", "Amount of the claim", amount(facts, facts.claimed_cents)))
    return table_text(("Line", "Serial", "What", "Amount"), rows, sums)


def goods_table(lines: Iterable[LetterLine]) -> str:
    """Return the goods of these lines, without amounts."""
    return table_text(("Line", "Serial", "What"), [_named(line) for line in lines])


def _named(line: LetterLine) -> tuple[str, str, str]:
    label = line.label
    if line.supplement:
        label = f"{label} (supplement {line.supplement})"
    return str(line.number), line.serial, label

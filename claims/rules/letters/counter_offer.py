"""The counter-offer: our loss by line, what was offered, what we propose and why.

A compromise, for settlement only: where it is not accepted the filed amount stands. It
asks for neither interest nor lawyer's fees. The carrier's own offer was no disallowance
either, unless its letter said so (49 U.S.C. 14706(e)(2), from memory).
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import amount, compose, figure, sentence
from claims.rules.letters.tables import table_text
from claims.rules.letters.terms_of_answers import (
    TO_CARRIER,
    answers_in_time,
    has_offer,
    open_cents,
    what,
)
from inventory.rules.reckoning.calendars import in_full

HEADED = "offer of compromise, for settlement only"


@dataclass(frozen=True)
class Proposed:
    """What we propose for one line, and why; ``why`` may be empty."""

    line: int
    cents: int
    why: str = ""


@dataclass(frozen=True)
class CounterChoices:
    """Amounts by line, or one sum where ``lines`` is empty; why; the day to answer by."""

    lines: tuple[Proposed, ...]
    sum_cents: int
    why: str
    answer_by: date

    @property
    def total(self) -> int:
        """Return what is proposed in all."""
        if self.lines:
            return sum(one.cents for one in self.lines)
        return self.sum_cents


def _names_the_lines(facts: LetterFacts, choices: CounterChoices) -> str:
    if not choices.lines:
        return ""
    rows = {line.number: open_cents(line) for line in facts.lines}
    if sorted(rows) != sorted(one.line for one in choices.lines):
        return "The lines of the claim have changed. Open the letter again."
    above = [one for one in choices.lines if one.cents > rows[one.line]]
    if above:
        one = above[0]
        most = amount(facts, rows[one.line])
        return (
            f"Line {one.line} asks for more than is claimed of it. The most is {most}."
        )
    return ""


def _is_between(facts: LetterFacts, choices: CounterChoices) -> str:
    if choices.total >= facts.claimed_cents:
        return (
            "That is not below the claim of "
            f"{amount(facts, facts.claimed_cents)}, so it is no compromise. Propose less."
        )
    if choices.total <= (facts.offered_cents or 0):
        return (
            f"The carrier offered {amount(facts, facts.offered_cents or 0)}, and that is "
            "not less. Propose more, or accept the offer."
        )
    return ""


def _gives_reasons(facts: LetterFacts, choices: CounterChoices) -> str:
    if choices.why.strip() or any(one.why.strip() for one in choices.lines):
        return ""
    return "Enter why, in your own words."


def worksheet(facts: LetterFacts, choices: CounterChoices) -> str:
    """Return the worksheet: each line, what was received before, and the three sums."""
    proposed = {one.line: figure(facts, one.cents) for one in choices.lines}
    rows = [
        (
            str(line.number),
            what(line),
            figure(facts, line.amount_cents),
            "",
            proposed.get(line.number, ""),
        )
        for line in facts.lines
    ]
    before = facts.claimed_cents - sum(line.amount_cents for line in facts.lines)
    if before:
        rows.append(("", "Received before", figure(facts, before), "", ""))
    sums = (facts.claimed_cents, facts.offered_cents or 0, choices.total)
    return table_text(
        ("Line", "What was lost", "Our claim", "You offered", "We propose"),
        rows,
        [("", f"In all, {facts.currency}", *(figure(facts, one) for one in sums))],
    )


def _write(facts: LetterFacts, choices: CounterChoices) -> Letter:
    by_line = [
        f"Line {one.line}: {sentence(one.why)}"
        for one in choices.lines
        if one.why.strip()
    ]
    claimed = amount(facts, facts.claimed_cents)
    return compose(
        f"Claim {facts.claim_number}: {HEADED}",
        f"We thank you for your offer{_dated(facts)} and cannot accept it as it is. To "
        f"settle the claim, we propose {amount(facts, choices.total)}:",
        worksheet(facts, choices),
        sentence(choices.why),
        "\n".join(by_line),
        "This is an offer of compromise. It is made for settlement only and is no "
        "statement of what is owed. If you do not accept it, our claim stands as filed, "
        f"in the full amount of {claimed}, and all our rights are reserved.",
        f"Please answer in writing by {in_full(choices.answer_by)}. After that day this "
        "offer is no longer open.",
    )


def _dated(facts: LetterFacts) -> str:
    return f" of {in_full(facts.offered_on)}" if facts.offered_on else ""


COUNTER_OFFER: LetterKind[CounterChoices] = LetterKind(
    key="counter-offer",
    name="Counter-offer",
    to="carrier",
    lead=(
        "Use it when the carrier offers less than the claim and you would settle for "
        "less than all. The claim stays as filed until your proposal is accepted."
    ),
    cite="49 CFR 370.9(a); 49 U.S.C. 14706(e)",
    write=_write,
    needs=(*TO_CARRIER, has_offer),
    checks=(_names_the_lines, _is_between, _gives_reasons, answers_in_time),
)

"""The acceptance of an offer, with a release of the named claim lines alone.

Common practice, no source: a release binds by its own words, so this one names lines,
serials and amounts, takes effect on cleared funds, and gives no indemnity.
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.letters.claim_letter import LetterFacts, LetterKind, LetterLine
from claims.rules.letters.notices import Letter
from claims.rules.letters.overlap import (
    against_amount,
    against_lines,
    against_release,
    reservation,
)
from claims.rules.letters.parts import amount, compose, figure
from claims.rules.letters.tables import table_text
from claims.rules.letters.terms_of_answers import (
    TO_CARRIER,
    answers_in_time,
    has_offer,
    open_cents,
)
from claims.rules.packet.wording import listed
from inventory.rules.reckoning.calendars import in_full, in_words

THEIR_FORM = (
    "It releases the whole freight bill, and not only the lines that are paid.",
    "It says that the payment is in full of all claims.",
    "It makes us indemnify the carrier, or hold it harmless, against others.",
    "It keeps the settlement confidential.",
    "It takes effect on signing and not when the money is here.",
)
"""What a manager looks for in a release form of the carrier's own."""


@dataclass(frozen=True)
class Accepted:
    """A claim line and what is accepted for it, in minor units."""

    line: int
    cents: int


@dataclass(frozen=True)
class AcceptanceChoices:
    """The lines that are accepted, each with its amount, and the day to pay by."""

    lines: tuple[Accepted, ...]
    answer_by: date

    @property
    def total(self) -> int:
        """Return what is accepted in all."""
        return sum(one.cents for one in self.lines)


def _has_open_lines(facts: LetterFacts) -> str:
    if not facts.lines or any(open_cents(line) for line in facts.lines):
        return ""
    return "Every line of the claim was already paid. There is nothing to accept."


def _may_release(facts: LetterFacts) -> str:
    return " ".join(against_release(facts.overlap))


def _is_not_accepted_yet(facts: LetterFacts, choices: AcceptanceChoices) -> str:
    return against_lines(facts.overlap, (one.line for one in choices.lines))


def _is_not_paid_for(facts: LetterFacts, choices: AcceptanceChoices) -> str:
    return against_amount(facts.overlap, choices.total)


def _fits_the_lines(facts: LetterFacts, choices: AcceptanceChoices) -> str:
    if not choices.lines:
        return "Enter the amount of at least one line."
    numbers = [one.line for one in choices.lines]
    if len(set(numbers)) != len(numbers):
        return "A line is named twice. Name each line once."
    rows = {line.number: line for line in facts.lines}
    for one in choices.lines:
        said = _fits(facts, one, rows.get(one.line))
        if said:
            return said
    return ""


def _fits(facts: LetterFacts, one: Accepted, line: LetterLine | None) -> str:
    if line is None:
        return f"Line {one.line} is not on the claim any more. Open the letter again."
    if not open_cents(line):
        return f"Line {one.line} was already paid. Leave it out."
    if one.cents <= 0:
        return f"Line {one.line} has no amount. Enter one, or leave the line out."
    if one.cents > open_cents(line):
        most = amount(facts, open_cents(line))
        return f"Line {one.line} is above the claim. The most is {most}."
    return ""


def _fits_the_offer(facts: LetterFacts, choices: AcceptanceChoices) -> str:
    offered = facts.offered_cents or 0
    if choices.total <= min(offered, facts.claimed_cents):
        return ""
    if choices.total > facts.claimed_cents:
        return (
            "That is above the claim. The most is "
            f"{amount(facts, facts.claimed_cents)}."
        )
    day = f" on {in_words(facts.offered_on)}" if facts.offered_on else ""
    return (
        f"The carrier offered {amount(facts, offered)}{day}. To ask for more, write a "
        "counter-offer."
    )


def _write(facts: LetterFacts, choices: AcceptanceChoices) -> Letter:
    accepted = {one.line: one.cents for one in choices.lines}
    lines = [line for line in facts.lines if line.number in accepted]
    rows = [
        (
            str(line.number),
            line.label,
            line.serial,
            figure(facts, accepted[line.number]),
        )
        for line in lines
    ]
    carrier = facts.carrier.name
    offer = f" of {in_full(facts.offered_on)}" if facts.offered_on else ""
    pay = [line for line in facts.pay_to.splitlines() if line.strip()]
    noun = "line" if len(lines) == 1 else "lines"
    return compose(
        f"Claim {facts.claim_number}: acceptance, and release of named lines",
        f"We accept your offer{offer} for the claim {noun} named here, and for nothing "
        "else:",
        table_text(
            ("Line", "What", "Serial", "Amount"),
            rows,
            [("", "Amount accepted", "", amount(facts, choices.total))],
        ),
        f"Please pay by {in_full(choices.answer_by)}{' to:' if pay else '.'}",
        "\n".join(pay),
        "The release takes effect when the whole amount accepted has reached us as "
        f"cleared funds, and not before. From then on {facts.sender.name} releases "
        f"{carrier} from the loss in the {noun} named here. Until then the claim stands "
        "as filed.",
        f"Everything else is reserved: {_reserved(facts, lines)}.",
        reservation(facts.overlap),
        "We give no indemnity and promise nothing further. This letter is the whole of "
        "our release, and no other form of release is agreed.",
    )


def _reserved(facts: LetterFacts, lines: list[LetterLine]) -> str:
    named = {line.number for line in lines}
    rest = [str(line.number) for line in facts.lines if line.number not in named]
    others = f"line{'s' if len(rest) > 1 else ''} {listed(rest)} of the claim, "
    return (
        f"{others if rest else ''}any other loss on this freight bill, damage found "
        "later, and overcharges"
    )


ACCEPTANCE: LetterKind[AcceptanceChoices] = LetterKind(
    key="acceptance",
    name="Acceptance and release",
    to="carrier",
    lead=(
        "Use it when you take the carrier's offer. It releases the lines that you name, "
        "once the money is here, and reserves everything else."
    ),
    cite="Common practice, no source",
    write=_write,
    needs=(*TO_CARRIER, has_offer, _has_open_lines, _may_release),
    checks=(
        _fits_the_lines,
        _is_not_accepted_yet,
        _fits_the_offer,
        _is_not_paid_for,
        answers_in_time,
    ),
)

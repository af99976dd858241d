"""One loss, paid for once: our claims, the carrier, the supplier and an insurer.

A carrier that meets two claimants of one shipment must tell both and ask for proof of
title (49 CFR 370.3(e), from memory). An insurer that paid stands in its insured's place
(subrogation, from memory), and a release may take its right away.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents

INSURER = {
    "no": "No insurer was notified",
    "told": "An insurer was notified and has not paid",
    "paid": "An insurer has paid",
}

SUPPLIER = {
    "no": "No, nothing was credited",
    "yes": "Yes: a credit, free parts or free labor",
}

ASK = (
    "Say first whether an insurer was notified or has paid, and whether the supplier "
    "credited the same loss."
)

CITE = "49 CFR 370.3(e), from memory"


@dataclass(frozen=True)
class OverlapAnswer:
    """What a person answered. Amounts are minor units of the claim's currency.

    ``insurer`` is a key of ``INSURER``. ``holds_right`` means that the insurer is named
    as holding the right to what it paid.
    """

    insurer: str = "no"
    insurer_name: str = ""
    insurer_cents: int = 0
    holds_right: bool = False
    supplier_cents: int = 0


@dataclass(frozen=True)
class OtherClaim:
    """Another claim on the same finding, or on the same machine.

    ``what`` says which line of it; ``is_same`` means the same finding, ``in_hand`` that
    the claim is not over, or was paid.
    """

    number: str
    state: str
    what: str
    is_same: bool
    in_hand: bool


@dataclass(frozen=True)
class AcceptedBefore:
    """A line that an acceptance letter already names."""

    line: int
    letter: int
    on: date
    is_sent: bool


@dataclass(frozen=True)
class OverlapFacts:
    """What is on record about the claim's loss elsewhere.

    ``answer`` is None where nobody answered since the last offer. ``loss_cents`` is the
    full loss, ``recovered_cents`` what its lines say was recovered before. ``accepted``
    are lines released in letters that were not dropped, ``agreed_cents`` what was agreed
    on the claim; neither counts once the carrier declined after it. ``known`` are
    sentences about letters and other claims, for the page that asks.
    """

    currency: str = ""
    answer: OverlapAnswer | None = None
    others: tuple[OtherClaim, ...] = ()
    loss_cents: int = 0
    recovered_cents: int = 0
    paid_cents: int = 0
    accepted: tuple[AcceptedBefore, ...] = ()
    agreed_cents: int = 0
    agreed_on: date | None = None
    known: tuple[str, ...] = ()

    @property
    def credited_cents(self) -> int:
        """Return what the supplier credited beyond what the lines say."""
        credited = self.answer.supplier_cents if self.answer else 0
        return max(credited - self.recovered_cents, 0)

    @property
    def left_cents(self) -> int:
        """Return the loss that nobody has made good yet."""
        gone = self.recovered_cents + self.credited_cents + self.paid_cents
        return max(self.loss_cents - gone, 0)


NOTHING_KNOWN = OverlapFacts()
"""A claim of which nothing is known elsewhere, and nobody was asked."""


def against_release(facts: OverlapFacts) -> tuple[str, ...]:
    """Return every reason why nothing may be released on this claim now."""
    return tuple(said for check in _CHECKS if (said := check(facts)))


def _is_answered(facts: OverlapFacts) -> str:
    return "" if facts.answer else ASK


def _names_the_insurer(facts: OverlapFacts) -> str:
    said = facts.answer
    if said is None or said.insurer != "paid" or said.holds_right:
        return ""
    return (
        f"{said.insurer_name} has paid for this loss and is not named as holding the "
        "right to what it paid (subrogation). A release could take that right away. "
        "Ask counsel, and name the insurer first."
    )


def _is_the_only_claim(facts: OverlapFacts) -> str:
    numbers = sorted(
        {one.number for one in facts.others if one.is_same and one.in_hand}
    )
    if not numbers:
        return ""
    return (
        f"{', '.join(numbers)} covers the same finding and is in hand or was paid. "
        f"One loss is released once: withdraw the other claim first ({CITE})."
    )


_CHECKS: tuple[Callable[[OverlapFacts], str], ...] = (
    _is_answered,
    _names_the_insurer,
    _is_the_only_claim,
)


def against_lines(facts: OverlapFacts, lines: Iterable[int]) -> str:
    """Return which of these lines was accepted before, or nothing."""
    wanted = set(lines)
    for one in facts.accepted:
        if one.line not in wanted:
            continue
        way = (
            "It cannot be accepted twice"
            if one.is_sent
            else "Drop that letter first, if it did not go out"
        )
        return (
            f"Line {one.line} was already accepted in letter {one.letter} of "
            f"{in_words(one.on)}. {way}."
        )
    return ""


def against_amount(facts: OverlapFacts, cents: int) -> str:
    """Return why this much cannot be accepted on top of what came before."""
    if cents <= facts.left_cents:
        return ""
    most = format_cents(facts.left_cents, facts.currency, code=True)
    before = f" {came_before(facts)} came before." if came_before(facts) else ""
    return f"That is more than the loss that is left.{before} The most is {most}."


def against_agreement(facts: OverlapFacts, cents: int) -> str:
    """Return why a second agreement would pay for the same loss twice."""
    if not facts.agreed_cents or facts.agreed_on is None:
        return ""
    # What was paid is a part of what was agreed: neither counts twice.
    open_cents = facts.left_cents + facts.paid_cents - facts.agreed_cents
    if cents <= open_cents:
        return ""
    agreed = format_cents(facts.agreed_cents, facts.currency, code=True)
    return (
        f"{agreed} was already agreed on {in_words(facts.agreed_on)}. With this amount "
        "the carrier would pay for the same loss twice."
    )


def came_before(facts: OverlapFacts) -> str:
    """Return what was made good before, each with its source; nothing where nothing."""
    sums = (
        ("paid by the carrier", facts.paid_cents),
        ("recovered on the lines", facts.recovered_cents),
        ("credited by the supplier", facts.credited_cents),
    )
    return ", ".join(
        f"{format_cents(cents, facts.currency, code=True)} {words}"
        for words, cents in sums
        if cents
    )


def reservation(facts: OverlapFacts) -> str:
    """Return what a release says of an insurer; nothing where none was notified."""
    said = facts.answer
    if said is None or said.insurer == "no":
        return ""
    if said.insurer == "told":
        return (
            f"{said.insurer_name} insures this loss and has been notified of it. Nothing in "
            "this letter releases any right that it has or will have."
        )
    paid = format_cents(said.insurer_cents, facts.currency, code=True)
    return (
        f"{said.insurer_name} has paid {paid} for this loss and holds the right to "
        "recover what it paid. Nothing in this letter releases that right."
    )

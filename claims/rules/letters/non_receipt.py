"""The statement that a whole package was not received from any source.

49 CFR 370.7(c) (from memory): where an entire package or shipment is lost, the consignee
certifies that it was not received from any other source. It is for nothing less: a part
that is missing from a crate is shown by the findings.
"""

from dataclasses import dataclass

from claims.rules.letters.claim_letter import LetterFacts, LetterKind, LetterLine
from claims.rules.letters.claim_letter_needs import came_to_us, is_live
from claims.rules.letters.lines import SHORT, goods_table, has_lines
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import sentence
from claims.rules.letters.waiting import letter
from inventory.rules.reckoning.calendars import in_full
from inventory.rules.reckoning.counts import pieces_in_words

_UNKNOWN = (
    "Not every truck of this freight bill is counted, or the pieces billed are not known. "
    "Complete the count first."
)
_TO_FOLLOW = (
    "The last truck left pieces to follow, so the package is not missing yet. Wait for "
    "the next truck, or record that nothing follows."
)
_NOT_WHOLE = (
    "Every package billed has arrived, so there is nothing to certify. A part that is "
    "missing from a crate is shown by its finding."
)


def _short_lines(facts: LetterFacts) -> tuple[LetterLine, ...]:
    return tuple(line for line in facts.lines if line.outcome == SHORT)


def _is_whole_package(facts: LetterFacts) -> str:
    """Refuse anything but a count that is short by whole pieces, as of today."""
    pieces = facts.goods.pieces
    if pieces is None or pieces.state == "unknown":
        return _UNKNOWN
    if pieces.state == "part":
        return _TO_FOLLOW
    return "" if pieces.short > 0 else _NOT_WHOLE


def _is_claimed(facts: LetterFacts) -> str:
    if not facts.lines or _short_lines(facts):
        return ""
    return "No line of the claim is a shortage, so no package is claimed as missing."


def _did_not_turn_up(facts: LetterFacts) -> str:
    """Refuse where any of it came in another way: on a bill, a truck, as an over piece."""
    found = " ".join(facts.goods.turned_up)
    if not found:
        return ""
    return f"Some of it may have arrived since: {found} Check it before you certify."


@dataclass(frozen=True)
class NonReceiptChoices:
    """Where the signer looked for it."""

    looked: str


def _write(facts: LetterFacts, choices: NonReceiptChoices) -> Letter:
    pieces = facts.goods.pieces
    if pieces is None or pieces.billed is None:
        raise ValueError(facts.claim_number)
    short = pieces_in_words(pieces.short, pieces.unit)
    many = pieces.short > 1
    last = (
        f", the last of them on {in_full(pieces.last_on)}"
        if pieces.last_on and pieces.counted
        else ""
    )
    return letter(
        facts,
        "statement of non-receipt",
        f"{facts.sender.name} is the consignee. Billed under this freight bill: "
        f"{pieces_in_words(pieces.billed, pieces.unit)}. Received: "
        f"{pieces_in_words(pieces.counted, pieces.unit)}{last}.",
        f"I certify that {short} {'were' if many else 'was'} not received, neither from "
        f"{facts.carrier.name} nor from any other source, up to and on the day of this "
        f"statement. Our claim names {'them' if many else 'it'} here:",
        goods_table(_short_lines(facts)),
        f"Where we looked: {sentence(choices.looked)}",
        "If any of it arrives later, we will tell you at once.",
    )


NON_RECEIPT: LetterKind[NonReceiptChoices] = LetterKind(
    key="non-receipt",
    name="Statement of non-receipt",
    to="carrier",
    lead=(
        "Use it only where a whole package never arrived. The count is checked again on "
        "the day that you sign."
    ),
    cite="49 CFR 370.7(c) (from memory)",
    write=_write,
    needs=(
        came_to_us,
        is_live,
        has_lines,
        _is_whole_package,
        _is_claimed,
        _did_not_turn_up,
    ),
)

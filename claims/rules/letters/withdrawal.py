"""The letter that withdraws a claim from the carrier.

Common practice, no source: Part 370 has no rule on withdrawing. It names the lines, so
that nothing else is given up.
"""

from dataclasses import dataclass

from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.lines import lines_table
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import compose, sentence
from inventory.rules.reckoning.calendars import in_full


@dataclass(frozen=True)
class WithdrawalChoices:
    """The reason, which the carrier need not be given."""

    reason: str = ""


def _was_sent(facts: LetterFacts) -> str:
    if facts.sent_on is not None:
        return ""
    return (
        "The claim was never sent, so the carrier has nothing to close. Withdraw it "
        "on its page; no letter is needed."
    )


def is_open(facts: LetterFacts) -> str:
    """Refuse a letter about a claim that is settled."""
    if facts.settled_on is None:
        return ""
    return "The claim is settled and closed. This letter is for an open claim."


def has_lines(facts: LetterFacts) -> str:
    """Refuse a letter about a claim of no lines."""
    if facts.lines:
        return ""
    return "The claim has no lines. Add a line to it first."


def _write(facts: LetterFacts, choices: WithdrawalChoices) -> Letter:
    sent = f" of {in_full(facts.sent_on)}" if facts.sent_on else ""
    reason = f"The reason: {sentence(choices.reason)}" if choices.reason.strip() else ""
    return compose(
        f"Withdrawal of claim {facts.claim_number}",
        f"We withdraw our claim{sent} for these lines:",
        lines_table(facts),
        reason,
        "The withdrawal is for these lines alone. It is without prejudice to a later "
        "claim for any other loss on this freight bill, and it says nothing on who is "
        "liable.",
        "Please close your file for these lines and confirm the withdrawal in writing.",
    )


WITHDRAWAL: LetterKind[WithdrawalChoices] = LetterKind(
    key="withdrawal",
    name="Withdrawal of the claim",
    to="carrier",
    lead="Use it when the carrier has the claim and you do not pursue it.",
    cite="Common practice, no source.",
    write=_write,
    needs=(_was_sent, is_open, has_lines),
)

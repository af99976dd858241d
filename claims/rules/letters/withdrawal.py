"""The letter that withdraws a claim from the carrier.

Common practice, no source: Part 370 has no rule on withdrawing. It names the lines, so
that nothing else is given up.
"""

from dataclasses import dataclass

from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.claim_letter_needs import is_live
from claims.rules.letters.lines import has_lines, lines_table
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import sentence
from claims.rules.letters.waiting import letter
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


def _write(facts: LetterFacts, choices: WithdrawalChoices) -> Letter:
    sent = f" of {in_full(facts.sent_on)}" if facts.sent_on else ""
    reason = f"The reason: {sentence(choices.reason)}" if choices.reason.strip() else ""
    return letter(
        facts,
        "withdrawal",
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
    lead=(
        "Use it when the carrier has the claim and you do not pursue it. Write the "
        "letter first; then withdraw the claim on its page."
    ),
    cite="Common practice, no source",
    write=_write,
    needs=(_was_sent, is_live, has_lines),
)

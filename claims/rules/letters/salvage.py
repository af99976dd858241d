"""Salvage: its offer to the carrier, and the account of its sale.

49 CFR 370.11 (text seen) is about a carrier that sells what it could not deliver. It does
not bind a claimant; its numbers (lot, money recovered, day) are the model of ours. That a
claimant must keep its loss low: Freedom Plastics v. Schneider Tank Lines (Wis. 1983,
secondary source). So the goods are kept until the carrier has answered, for a time.
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.letters.claim_letter import LetterFacts, LetterKind, LetterLine
from claims.rules.letters.claim_letter_needs import is_live
from claims.rules.letters.lines import chosen_lines, goods_lines, goods_table, has_lines
from claims.rules.letters.notices import Letter
from claims.rules.letters.parts import amount, sentence
from claims.rules.letters.tables import table_text
from claims.rules.letters.waiting import letter
from inventory.rules.reckoning.calendars import in_full

HOW_SOLD = {
    "bids": "By written bids",
    "auction": "At public auction",
    "dealer": "To a dealer in salvage",
    "private": "By private sale",
    "scrap": "As scrap, by weight",
}

SOLD = frozenset({"total", "as-is"})
"""The outcomes whose amount deducts what the goods are still worth."""


def _is_here(facts: LetterFacts) -> str:
    if not facts.lines or goods_lines(facts):
        return ""
    return "Every line of the claim is a shortage, so there are no goods to sell."


@dataclass(frozen=True)
class OfferChoices:
    """Which goods are offered, where they are, and by when to answer."""

    lines: tuple[int, ...]
    held_at: str
    answer_by: date


def _lines_are_here(
    facts: LetterFacts, choices: "OfferChoices | AccountChoices"
) -> str:
    numbers = {line.number for line in goods_lines(facts)}
    if choices.lines and set(choices.lines) <= numbers:
        return ""
    return "Choose at least one line of the claim whose goods are here."


def _answer_in_time(facts: LetterFacts, choices: OfferChoices) -> str:
    if choices.answer_by > facts.today:
        return ""
    return "The day to answer by must be after today, or the carrier has no time."


def _offer(facts: LetterFacts, choices: OfferChoices) -> Letter:
    return letter(
        facts,
        "offer of the salvage",
        "We hold these damaged goods and their packaging for inspection and as salvage:",
        goods_table(chosen_lines(facts, choices.lines)),
        f"They are here: {sentence(choices.held_at)}",
        f"We offer you this salvage. Please answer in writing by "
        f"{in_full(choices.answer_by)} with one of these:",
        "1. You collect the goods at your own expense and sign for them.\n"
        "2. You ask us to sell them and to credit the claim.\n"
        "3. You make no claim to them.",
        "Until you answer we keep the goods and their packaging as they are. If we have "
        "no answer by that day, we may sell them at the best price that we can get, to "
        "keep the loss low, and will send you the account of the sale.",
        "Taking the salvage settles no part of the claim, and this offer waives none.",
    )


SALVAGE_OFFER: LetterKind[OfferChoices] = LetterKind(
    key="salvage-offer",
    name="Offer of the salvage to the carrier",
    to="carrier",
    lead="Use it before damaged goods are sold or scrapped. Keep them until it answers.",
    cite=(
        "49 CFR 370.11 (text seen) as a model; the duty to keep the loss low (secondary "
        "source)"
    ),
    write=_offer,
    needs=(is_live, has_lines, _is_here),
    checks=(_lines_are_here, _answer_in_time),
)


@dataclass(frozen=True)
class AccountChoices:
    """The sale: which goods, how, to whom, when, for how much, at what cost.

    ``how`` is a key of HOW_SOLD; amounts are minor units. ``answer`` is what the carrier
    answered to the offer.
    """

    lines: tuple[int, ...]
    lot: str
    how: str
    buyer: str
    sold_on: date
    proceeds_cents: int
    cost_cents: int = 0
    cost_for: str = ""
    answer: str = ""


@dataclass(frozen=True)
class Credit:
    """The arithmetic of the account, in minor units.

    ``deducted_cents`` is what the claim already deducts for these goods.
    """

    net_cents: int
    deducted_cents: int
    credit_cents: int
    before_cents: int
    after_cents: int


def credit_of(facts: LetterFacts, choices: AccountChoices) -> Credit:
    """Return what the sale takes off the claim: never more than its lines ask for.

    A sale for less than the claim deducts already changes nothing: more is claimed by a
    supplement only.
    """
    lines = chosen_lines(facts, choices.lines)
    net = choices.proceeds_cents - choices.cost_cents
    deducted = sum(line.salvage_cents for line in lines)
    most = min(sum(line.amount_cents for line in lines), facts.claimed_cents)
    credit = min(max(net - deducted, 0), most)
    return Credit(
        net, deducted, credit, facts.claimed_cents, facts.claimed_cents - credit
    )


def _was_sent(facts: LetterFacts) -> str:
    if facts.sent_on is not None:
        return ""
    return (
        "The claim has not been sent yet. Enter the salvage on its lines, so that the "
        "claim has the credit from the start."
    )


def _sold_in_time(facts: LetterFacts, choices: AccountChoices) -> str:
    sold = choices.sold_on
    if sold > facts.today:
        return "The day of the sale is in the future. Write the account after the sale."
    if facts.delivered_on and sold < facts.delivered_on:
        return (
            "The day of the sale is before the goods were delivered, on "
            f"{in_full(facts.delivered_on)}."
        )
    return ""


def _kept_until_answered(facts: LetterFacts, choices: AccountChoices) -> str:
    """Refuse a sale before the offer's last day, unless the carrier has answered."""
    offered = facts.goods.offered
    early = offered and choices.sold_on <= offered.answer_by
    if offered is None or not early or choices.answer.strip():
        return ""
    return (
        f"The offer gave the carrier until {in_full(offered.answer_by)}. Enter what it "
        "answered, or correct the day of the sale."
    )


def _costs_are_named(_facts: LetterFacts, choices: AccountChoices) -> str:
    if not choices.cost_cents or choices.cost_for.strip():
        return ""
    return "Say what the cost of the sale was for."


def _account(facts: LetterFacts, choices: AccountChoices) -> Letter:
    lines = chosen_lines(facts, choices.lines)
    return letter(
        facts,
        "account of the salvage",
        _offered(facts, choices),
        "These goods were sold as salvage, for the credit of the claim:",
        goods_table(lines),
        _sale(choices),
        _money(facts, choices),
        _closing(facts, choices, lines),
    )


def _offered(facts: LetterFacts, choices: AccountChoices) -> str:
    offered = facts.goods.offered
    said = (
        f"We offered you the salvage on {in_full(offered.offered_on)}, for an answer by "
        f"{in_full(offered.answer_by)}."
        if offered
        else ""
    )
    answer = (
        f"Your answer: {sentence(choices.answer)}"
        if choices.answer.strip()
        else "We have no answer from you."
        if offered
        else ""
    )
    return " ".join(part for part in (said, answer) if part)


def _sale(choices: AccountChoices) -> str:
    return "\n".join(
        (
            f"Lot number: {sentence(choices.lot)}",
            f"How it was sold: {sentence(HOW_SOLD[choices.how])}",
            f"Sold to: {sentence(choices.buyer)}",
            f"Day of the sale: {in_full(choices.sold_on)}.",
        )
    )


def _money(facts: LetterFacts, choices: AccountChoices) -> str:
    credit = credit_of(facts, choices)
    cost = f"Cost of the sale: {' '.join(choices.cost_for.split())}"
    rows = [("Proceeds", amount(facts, choices.proceeds_cents))]
    if choices.cost_cents:
        rows += [
            (cost.rstrip(". "), amount(facts, -choices.cost_cents)),
            ("Net proceeds", amount(facts, credit.net_cents)),
        ]
    if credit.deducted_cents:
        words = "Deducted for salvage in the claim already"
        rows.append((words, amount(facts, -credit.deducted_cents)))
    sums = [("Credit on the claim", amount(facts, credit.credit_cents))]
    return table_text(("The sale", "Amount"), rows, sums)


def _closing(
    facts: LetterFacts, choices: AccountChoices, lines: tuple[LetterLine, ...]
) -> str:
    credit = credit_of(facts, choices)
    if not credit.credit_cents:
        return f"The claim stays at {amount(facts, credit.before_cents)}."
    noun = "this line" if len(lines) == 1 else "these lines"
    return (
        f"We give the credit on {noun}. The claim was "
        f"{amount(facts, credit.before_cents)} and is now "
        f"{amount(facts, credit.after_cents)}."
    )


SALVAGE_ACCOUNT: LetterKind[AccountChoices] = LetterKind(
    key="salvage-account",
    name="Account of the salvage sale",
    to="carrier",
    lead="Use it when damaged goods were sold, so that the claim has the credit.",
    cite="49 CFR 370.11(c) (text seen) as a model",
    write=_account,
    needs=(is_live, has_lines, _was_sent, _is_here),
    checks=(_lines_are_here, _sold_in_time, _kept_until_answered, _costs_are_named),
)

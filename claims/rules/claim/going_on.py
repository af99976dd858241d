"""What accepting an offer leaves, and what going on leaves after its costs.

Interest is time value and is asked of no carrier; a lawyer's fee is a cost and is never
recovered (generally not awarded in a freight claim, from memory).
"""

from dataclasses import dataclass
from fractions import Fraction

from claims.rules.claim.offer_facts import Costs, OfferFacts, middle_percent
from inventory.rules.reckoning.money import amount_words, round_fraction, two_places


@dataclass(frozen=True)
class Part:
    """One step of an outcome's arithmetic."""

    words: str
    cents: int


@dataclass(frozen=True)
class Outcome:
    """What a way to go leaves; ``net_cents`` sums its parts."""

    key: str
    label: str
    parts: tuple[Part, ...]

    @property
    def net_cents(self) -> int:
        """Return what is left."""
        return sum(part.cents for part in self.parts)


def accepted_cents(facts: OfferFacts) -> int:
    """Return what accepting brings: the offer, never above the loss that is left."""
    return min(facts.offered_cents, facts.balance_cents)


def court_cents(facts: OfferFacts) -> int:
    """Return the cost of a suit: a lawyer's too, unless it fits the small-claims limit."""
    return sum(
        cents for _, cents in _spent(facts.costs, is_small=facts.in_small_claims)
    )


def waiting_cents(cents: int, costs: Costs) -> int:
    """Return the time value of an amount that comes only after the months entered."""
    return round_fraction(cents * _time_share(costs))


def likely_cents(facts: OfferFacts, percent: int) -> int:
    """Return this share of the balance, never above the most that can come."""
    share = round_fraction(Fraction(percent, 100) * facts.balance_cents)
    return min(share, facts.most_cents)


def outcomes(facts: OfferFacts) -> tuple[Outcome, ...]:
    """Return each way to go with its arithmetic, accepting first."""
    share, _ = middle_percent(facts.past, facts.today)
    middle = f"Go on, and {share}% comes, this carrier's middle value"
    found = (
        Outcome("accept", "Accept", (Part("offered, now", accepted_cents(facts)),)),
        _going_on(facts, "all", "Go on, and the most comes", facts.most_cents),
        None
        if share is None
        else _going_on(facts, "middle", middle, likely_cents(facts, share)),
        _going_on(facts, "nothing", "Go on, and nothing comes", 0),
    )
    return tuple(one for one in found if one)


def even_point(facts: OfferFacts) -> str:
    """Return what must come for going on to leave as much as accepting."""
    most = amount_words(facts.most_cents, facts.currency)
    needed = _needed_cents(facts)
    if needed is None or needed > facts.most_cents:
        return f"Going on leaves less than accepting, even where all of {most} comes."
    at_least = amount_words(needed, facts.currency)
    return f"Going on leaves as much as accepting once {at_least} of {most} comes."


def entered_parts(
    costs: Costs, currency: str, *, in_small_claims: bool = False
) -> tuple[str, ...]:
    """Return each cost of a suit that was entered, in words."""
    return tuple(
        f"{words} {amount_words(cents, currency)}"
        for words, cents in _spent(costs, is_small=in_small_claims)
    )


def entered_words(costs: Costs, currency: str) -> str:
    """Return all that was entered, for the history."""
    parts = list(entered_parts(costs, currency))
    if costs.limit_cents is not None:
        limit = amount_words(costs.limit_cents, currency)
        parts.append(f"small-claims limit {limit} ({costs.limit_source})")
    if costs.yearly_percent is not None:
        parts.append(f"time value {two_places(costs.yearly_percent)}% a year")
    if costs.months is not None:
        parts.append(f"months to a decision {costs.months}")
    return ", ".join(parts) or "nothing"


def missing_costs(facts: OfferFacts) -> tuple[str, ...]:
    """Return what nobody entered and the outcomes would need."""
    costs = facts.costs
    named = (
        ("small-claims limit", costs.limit_cents),
        ("filing", costs.filing_cents),
        ("serving", costs.serving_cents),
        ("lawyer", 0 if facts.in_small_claims else costs.lawyer_cents),
        ("time value", costs.yearly_percent),
        ("months to a decision", costs.months),
    )
    return tuple(words for words, value in named if value is None)


def _going_on(facts: OfferFacts, key: str, label: str, cents: int) -> Outcome:
    parts = (
        Part("comes in", cents),
        Part("cost of going on", -court_cents(facts)),
        Part("time value", -waiting_cents(cents, facts.costs)),
    )
    return Outcome(key, label, (parts[0], *(part for part in parts[1:] if part.cents)))


def _spent(costs: Costs, *, is_small: bool) -> tuple[tuple[str, int], ...]:
    named = (
        ("filing", costs.filing_cents),
        ("serving", costs.serving_cents),
        ("lawyer", None if is_small else costs.lawyer_cents),
    )
    return tuple((words, cents) for words, cents in named if cents is not None)


def _time_share(costs: Costs) -> Fraction:
    """Return the part of an amount that the months of waiting are worth."""
    if costs.yearly_percent is None or costs.months is None:
        return Fraction(0)
    return Fraction(costs.yearly_percent) / 100 * Fraction(costs.months, 12)


def _needed_cents(facts: OfferFacts) -> int | None:
    """Return the least that must come; None where the time value takes all of it."""
    rest = 1 - _time_share(facts.costs)
    if rest <= 0:
        return None
    exact = Fraction(accepted_cents(facts) + court_cents(facts)) / rest
    return -(-exact.numerator // exact.denominator)

"""An offer judged: by the claim, the limit, the carrier's habit and the cost of going on.

Each figure comes with what it is made of and where the rule stands. Nothing here
recommends: the person decides.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from claims.rules.claim.going_on import (
    Outcome,
    court_cents,
    entered_parts,
    even_point,
    likely_cents,
    missing_costs,
    outcomes,
    waiting_cents,
)
from claims.rules.claim.offer_facts import (
    FEWEST,
    MONTHS_BACK,
    OfferFacts,
    middle_percent,
)
from inventory.rules.core.text import capital
from inventory.rules.reckoning.money import amount_words, round_fraction, two_places


@dataclass(frozen=True)
class JudgedRow:
    """One figure to judge the offer by, what it is made of, and where the rule stands."""

    label: str
    figure: str
    basis: str
    cite: str = ""


@dataclass(frozen=True)
class JudgedOffer:
    """The figures by their keys, each way to go with its arithmetic, and what is missing.

    ``even`` says what must come for going on to leave as much as accepting.
    """

    rows: dict[str, JudgedRow]
    outcomes: tuple[Outcome, ...]
    even: str
    missing: tuple[str, ...]


def judge_offer(facts: OfferFacts) -> JudgedOffer:
    """Return all that an offer is judged by. It gives no advice."""
    made = {key: make(facts) for key, make in _ROWS.items()}
    return JudgedOffer(
        rows={key: row for key, row in made.items() if row},
        outcomes=outcomes(facts),
        even=even_point(facts),
        missing=missing_costs(facts),
    )


def _balance(facts: OfferFacts) -> JudgedRow:
    balance = facts.balance_cents
    gone = facts.gone_cents
    less = f", after {_say(facts, gone)} credited by the supplier" if gone else ""
    is_paid = facts.paid_cents and facts.offered_cents > balance
    paid = f". Is the {_say(facts, facts.paid_cents)} paid this offer's money?"
    return JudgedRow(
        "Offer against the balance",
        _percent(facts.offered_cents, balance),
        f"{_say(facts, facts.offered_cents)} of {_say(facts, balance)}{less}"
        f"{paid if is_paid else ''}",
    )


def _loss(facts: OfferFacts) -> JudgedRow:
    parts = [f"Claimed {_say(facts, facts.claimed_cents)}"]
    if facts.expected_cents < facts.claimed_cents:
        parts.append(f"under the limit {_say(facts, facts.expected_cents)}")
    if facts.paid_cents:
        parts.append(f"less paid {_say(facts, facts.paid_cents)}")
    if facts.gone_cents:
        parts.append(f"less credited by the supplier {_say(facts, facts.gone_cents)}")
    return JudgedRow(
        "Most that can still come",
        _say(facts, facts.most_cents),
        ", ".join(parts),
        _us(facts, "Actual loss, 49 U.S.C. 14706(a)(1)"),
    )


def _limit(facts: OfferFacts) -> JudgedRow:
    if facts.limit_cents is None:
        basis = "No released value and no limit is on record for this freight bill"
        cite = _us(facts, "49 U.S.C. 14706(c)(1)(A), quoted in a decision")
        return JudgedRow("Limit of liability", "none known", basis, cite)
    is_above = facts.offered_cents > max(facts.limit_cents - facts.paid_cents, 0)
    above = "The offer is above what is left under it. " if is_above else ""
    return JudgedRow(
        "Limit of liability",
        _say(facts, facts.limit_cents),
        f"{above}A ceiling, never a ratio",
        facts.limit_authority,
    )


def _past(facts: OfferFacts) -> JudgedRow:
    label = "This carrier paid before, middle share"
    share, count = middle_percent(facts.past, facts.today)
    ended = f"{count} claim{'' if count == 1 else 's'} in {MONTHS_BACK} months"
    ours = "Our own records"
    if share is None:
        basis = f"{ended}, and fewer than {FEWEST} say nothing"
        return JudgedRow(label, "too few", basis, ours)
    on_balance = _say(facts, likely_cents(facts, share))
    return JudgedRow(label, f"{share}%", f"{ended}; {on_balance} on this balance", ours)


def _days(facts: OfferFacts) -> JudgedRow | None:
    if facts.received_on is None:
        return None
    period, parts = facts.answer, []
    if facts.offered_on:
        day = (facts.offered_on - facts.received_on).days
        parts.append(f"offer came on day {day}")
    parts.append(
        f"{period.days} is the period for an answer"
        if period
        else "no period for an answer is known"
    )
    return JudgedRow(
        "Days since the carrier received it",
        str((facts.today - facts.received_on).days),
        capital("; ".join(parts)),
        f"{period.authority}; passing it decides nothing, from memory"
        if period
        else "",
    )


def _cost(facts: OfferFacts) -> JudgedRow:
    is_small, costs = facts.in_small_claims, facts.costs
    parts = entered_parts(costs, facts.currency, in_small_claims=is_small)
    limit, source = "no small-claims limit entered", ""
    if costs.limit_cents is not None:
        where = "within" if is_small else "above"
        limit = f"{where} small claims, {_say(facts, costs.limit_cents)}"
        source = f"Limit: {costs.limit_source}. "
    return JudgedRow(
        "Cost of going on, as entered",
        _say(facts, court_cents(facts)) if parts else "not entered",
        capital("; ".join((", ".join(parts), limit) if parts else (limit,))),
        f"{source}A lawyer's fee is never recovered, from memory",
    )


def _waiting(facts: OfferFacts) -> JudgedRow | None:
    costs, most = facts.costs, facts.most_cents
    if costs.yearly_percent is None or costs.months is None:
        return None
    months = f"{costs.months} month{'' if costs.months == 1 else 's'}"
    return JudgedRow(
        "Time value of waiting",
        _say(facts, waiting_cents(most, costs)),
        f"{two_places(costs.yearly_percent)}% a year, {months}, on {_say(facts, most)}",
        "As entered; no part of the claim and not asked of the carrier",
    )


_ROWS: dict[str, Callable[[OfferFacts], JudgedRow | None]] = {
    "balance": _balance,
    "loss": _loss,
    "limit": _limit,
    "past": _past,
    "days": _days,
    "cost": _cost,
    "waiting": _waiting,
}
"""One function a row, in the order of the page."""


def _say(facts: OfferFacts, cents: int) -> str:
    return amount_words(cents, facts.currency)


def _percent(part: int, whole: int) -> str:
    return f"{round_fraction(Fraction(100 * part, whole))}%" if whole else "none open"


def _us(facts: OfferFacts, cite: str) -> str:
    """Return a paragraph of the US motor statute where that statute applies."""
    return cite if facts.regime.startswith("us-motor") else ""

"""A supplier's crate terms in sentences, one for each term."""

from fractions import Fraction

from inventory.rules.crates.words import CLOCK_STARTS, CLOCK_STOPS
from inventory.rules.deposits.credit import Terms
from inventory.rules.reckoning.measures import format_exact
from inventory.rules.reckoning.periods import counted_words


def terms_in_words(terms: Terms) -> tuple[str, ...]:
    """Return the terms as sentences, in the order in which they apply to a crate."""
    return (
        (
            f"The clock starts on the {CLOCK_STARTS[terms.clock_starts]} and stops on the "
            f"{CLOCK_STOPS[terms.clock_stops]}."
        ),
        _credit(terms),
        _deductions(terms),
        _return(terms),
        _way(terms),
        _memo(terms),
    )


def percent_words(percent: object) -> str:
    """Return a percentage without trailing zeros: 62.50 is 62.5 %."""
    return f"{format_exact(Fraction(str(percent)), 2)} %"


def _credit(terms: Terms) -> str:
    bound = "included" if terms.includes_last_day else "not included"
    full = f"Full credit to day {terms.full_days}, that day {bound}"
    if terms.decline == "straight":
        return f"{full}; then it declines evenly to zero on day {terms.ends_day}."
    if terms.decline == "none":
        return f"{full}; nothing after that."
    steps = [
        f"{percent_words(percent)} after day {day}"
        for day, percent in terms.steps
        if percent
    ]
    nothing = next((day for day, percent in terms.steps if not percent), terms.ends_day)
    if nothing is not None:
        steps.append(f"nothing after day {nothing}")
    return f"{full}; then {', '.join(steps)}."


def _deductions(terms: Terms) -> str:
    if terms.ceiling is None:
        return "Missing and damaged parts are deducted without a limit."
    return (
        "Missing and damaged parts are deducted up to "
        f"{percent_words(terms.ceiling)} of the deposit."
    )


def _return(terms: Terms) -> str:
    payer = "We pay" if terms.return_freight == "us" else "The supplier pays"
    parts = [f"{payer} the return freight"]
    if terms.minimum_per_pickup > 1:
        parts.append(f"at least {terms.minimum_per_pickup} crates per pick-up")
    needs = [
        word
        for needed, word in (
            (terms.needs_authorization, "a return authorization"),
            (terms.needs_appointment, "an appointment"),
        )
        if needed
    ]
    if needs:
        parts.append(f"{' and '.join(needs)} required first")
    return f"{', '.join(parts)}."


def _way(terms: Terms) -> str:
    return (
        f"Allow {counted_words(terms.transit_days, 'days')} in transit and "
        f"{counted_words(terms.unloading_days, 'days')} to unload."
    )


def _memo(terms: Terms) -> str:
    order = (
        " Crates without a mark: the oldest charge is credited first."
        if terms.oldest_first
        else ""
    )
    if terms.memo_days is None:
        return f"No due date for the credit memo is stated.{order}"
    days = counted_words(terms.memo_days, "days")
    return (
        f"The credit memo is due {days} after the supplier receives the crate.{order}"
    )

"""Finding the day on which a clock starts."""

import datetime as dt
from dataclasses import dataclass

from claims.rules.deadlines.facts import Facts, Letter
from claims.rules.regimes.records import Start, Trigger
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.periods import Period, add_period, counted_words

TRIGGER_WORDS: dict[Trigger, str] = {
    "delivery": "delivery",
    "bill": "the bill's date",
    "shipment": "shipment",
    "taken-over": "taking over",
    "agreed-delivery": "the agreed day of delivery",
    "arrival": "arrival",
    "refusal": "refusal",
    "discovery": "discovery",
    "claim-received": "the carrier's receipt of the claim",
    "disallowance": "the carrier's written disallowance",
    "disposition": "the day the carrier's answer was due",
}


@dataclass(frozen=True, slots=True)
class Began:
    """The day a clock starts, what started it, and how that day was found."""

    on: dt.date
    trigger: Trigger
    steps: tuple[str, ...]


def letters_in_order(facts: Facts) -> tuple[Letter, ...]:
    """Return the carrier's answers by date; ``disallowed_on`` is one of them."""
    letters = list(facts.letters)
    if facts.disallowed_on is not None:
        letters.append(Letter(on=facts.disallowed_on, kind="disallowed"))
    return tuple(sorted(letters, key=lambda letter: (letter.on, letter.kind)))


def first_disallowed_on(facts: Facts) -> dt.date | None:
    """Return the date of the first plain written disallowance; repeats do not count."""
    return _first(facts, "disallowed")


def first_disputed_on(facts: Facts) -> dt.date | None:
    """Return the date of a letter that both offers and declines, if it is first.

    49 U.S.C. 14706(e)(2): an offer of compromise is a disallowance only where
    it says in writing which part is disallowed and why.
    """
    disputed, plain = _first(facts, "offer-and-decline"), first_disallowed_on(facts)
    if disputed is not None and (plain is None or disputed < plain):
        return disputed
    return None


def _first(facts: Facts, kind: str) -> dt.date | None:
    return next(
        (each.on for each in letters_in_order(facts) if each.kind == kind), None
    )


def day_of(trigger: Trigger, facts: Facts) -> dt.date | None:
    """Return the day of ``trigger``, or None where it is not known.

    A refused delivery was tendered on the day it was refused. The day of
    shipment is the bill's date, or where that is missing the taking over.
    """
    if trigger == "delivery" and facts.loss == "refused":
        return facts.refused_on or facts.delivered_on
    days: dict[Trigger, dt.date | None] = {
        "delivery": facts.delivered_on,
        "bill": facts.bill_on,
        "shipment": facts.bill_on or facts.taken_over_on,
        "taken-over": facts.taken_over_on,
        "agreed-delivery": facts.agreed_delivery_on,
        "arrival": facts.arrived_on,
        "refusal": facts.refused_on,
        "discovery": facts.discovered_on,
        "claim-received": facts.claim_received_on,
        "disallowance": first_disallowed_on(facts) or first_disputed_on(facts),
    }
    return days.get(trigger)


def trigger_words(trigger: Trigger, facts: Facts) -> str:
    """Return the name of the trigger, as used for this loss."""
    if trigger == "delivery" and facts.loss == "refused":
        return "the tender that was refused"
    return TRIGGER_WORDS[trigger]


def known_starts(starts: tuple[Start, ...], facts: Facts) -> tuple[Began, ...]:
    """Return the starts whose day is known, in the order given."""
    found = []
    for start in starts:
        day = day_of(start.trigger, facts)
        if day is not None:
            found.append(_began(start, day, facts))
    return tuple(found)


def _began(start: Start, day: dt.date, facts: Facts) -> Began:
    words = trigger_words(start.trigger, facts)
    if not start.plus:
        return Began(
            on=day,
            trigger=start.trigger,
            steps=(f"The clock starts on {in_words(day)}, with {words}.",),
        )
    on = add_period(day, Period(count=start.plus, unit=start.plus_unit)).due
    span = counted_words(start.plus, start.plus_unit)
    return Began(
        on=on,
        trigger=start.trigger,
        steps=(
            (
                f"The clock starts on {in_words(on)}: {span} after {words} on "
                f"{in_words(day)}."
            ),
        ),
    )


def unknown_starts(starts: tuple[Start, ...], facts: Facts) -> tuple[str, ...]:
    """Return the names of the starts whose day is not known."""
    return tuple(
        trigger_words(start.trigger, facts)
        for start in starts
        if day_of(start.trigger, facts) is None
    )


def dated_on(facts: Facts) -> dt.date | None:
    """Return the day by which the rule in force is chosen: the bill's date.

    Where it is not known, use the first known of taking over, carriage, delivery,
    refusal and agreed delivery.
    """
    return (
        facts.bill_on
        or facts.taken_over_on
        or facts.carriage_on
        or facts.delivered_on
        or facts.refused_on
        or facts.agreed_delivery_on
    )

"""The second reading of a through bill: ocean or inland rules on land."""

import datetime as dt
from dataclasses import replace

from claims.rules.deadlines.facts import Deadline, Facts
from claims.rules.deadlines.readings import safe_day
from claims.rules.regimes.records import Regime
from inventory.rules.reckoning.calendars import Calendar, in_words
from inventory.rules.reckoning.periods import Period, add_period

_ONE_YEAR = Period(count=1, unit="years")
_THREE_DAYS = Period(count=3, unit="days")
_NINE_MONTHS = Period(count=9, unit="months")
_AUTHORITY = "Norfolk Southern v. Kirby, 543 U.S. 14 (2004); COGSA sec. 3(6)"


def with_through_bill(
    regime: Regime, deadlines: list[Deadline], facts: Facts, calendar: Calendar
) -> list[Deadline]:
    """Return the deadlines with both readings of a through bill stated.

    A bill that covers ocean and land may carry the ocean clocks inland: one
    year to sue from delivery, three days for concealed damage. Under an ocean
    bill the land leg may still need a claim within nine months.
    """
    if not facts.is_through_bill:
        return deadlines
    if regime.is_inland_us:
        return _ocean_clock_inland(deadlines, facts, calendar)
    if regime.is_ocean:
        return [_from_port(each, facts, calendar) for each in deadlines]
    return deadlines


def _delivered(facts: Facts) -> dt.date | None:
    days = (facts.delivered_on, facts.refused_on, facts.agreed_delivery_on)
    known = [day for day in days if day is not None]
    return min(known) if known else None


def _ocean_clock_inland(
    deadlines: list[Deadline], facts: Facts, calendar: Calendar
) -> list[Deadline]:
    delivered = _delivered(facts)
    if delivered is None:
        return deadlines
    year = add_period(delivered, _ONE_YEAR)
    days = add_period(delivered, _THREE_DAYS)
    limits = {"suit": year.due, "concealed-notice": days.due}
    moved = [
        _no_later(each, limits[each.duty], delivered, calendar)
        if each.duty in limits
        else each
        for each in deadlines
    ]
    if any(each.duty == "suit" for each in deadlines):
        return moved
    ocean = Deadline(
        duty="suit",
        owed_by="claimant",
        due=year.due,
        safe=safe_day(year.due, delivered, calendar),
        starts_on=delivered,
        counted=(
            f"The clock starts on {in_words(delivered)}, with delivery.",
            *year.steps,
        ),
        effect="the suit is barred",
        authority=_AUTHORITY,
        confidence="from memory",
        record_key="through-bill/suit",
        notes=(
            (
                "Through bill: the ocean carrier's year may run inland, whether or "
                "not the inland carrier has answered."
            ),
        ),
        standing="disputed",
    )
    return [*moved, ocean]


def _no_later(
    deadline: Deadline, last: dt.date, starts_on: dt.date, calendar: Calendar
) -> Deadline:
    return replace(
        deadline,
        safe=min(deadline.safe, safe_day(last, starts_on, calendar)),
        notes=(
            *deadline.notes,
            f"Through bill: if the ocean rules run inland, it ends {in_words(last)}.",
        ),
    )


def _from_port(deadline: Deadline, facts: Facts, calendar: Calendar) -> Deadline:
    """Return an ocean suit deadline that states the inland readings too."""
    if deadline.duty != "suit":
        return deadline
    notes = list(deadline.notes)
    safe = deadline.safe
    if facts.arrived_on is not None:
        last = add_period(facts.arrived_on, _ONE_YEAR).due
        safe = min(safe, safe_day(last, facts.arrived_on, calendar))
        notes.append(
            f"Through bill: counted from arrival at the port it ends {in_words(last)}."
        )
    start = facts.bill_on or _delivered(facts)
    if start is not None:
        claim = add_period(start, _NINE_MONTHS).due
        notes.append(
            "Through bill: the inland leg may require a written claim within nine "
            f"months. File it by {in_words(claim)}."
        )
    return replace(deadline, safe=safe, notes=tuple(notes))

"""The rates that people entered, and amounts of other currencies at them."""

import datetime as dt
from collections.abc import Iterable, Mapping

from inventory.models import ExchangeRate, Location
from inventory.rules.reckoning.rates import About, Rate

Rates = Mapping[tuple[int, str], Rate]
"""The rate that counts for each location and currency."""


def rates_at(locations: Iterable[Location], on: dt.date) -> Rates:
    """Return the latest rate up to a day of each currency, in the location's own.

    Of one day the one that was entered last. One query.
    """
    rows = (
        ExchangeRate.objects.filter(location__in=locations, rated_on__lte=on)
        .select_related("location", "entered_by")
        .order_by("rated_on", "pk")
    )
    return {
        (row.location_id, row.currency): _rate(row)
        for row in rows
        if row.home == row.location.currency
    }


def about_of(amounts: Iterable[tuple[int, str, int]], rates: Rates) -> dict[str, About]:
    """Return each currency's amounts at home, for those that have a rate everywhere.

    ``amounts`` are of a location, a currency, in cents. A sum of which one part has no
    rate, or another home currency, is left out: half of it would mislead.
    """
    parts: dict[str, dict[int, int]] = {}
    for place, currency, cents in amounts:
        own = parts.setdefault(currency, {})
        own[place] = own.get(place, 0) + cents
    found = {}
    for currency, by_place in parts.items():
        known = {place: rates.get((place, currency)) for place in by_place}
        used = [rate for rate in known.values() if rate is not None]
        if len(used) < len(known) or len({rate.home for rate in used}) != 1:
            continue
        cents = sum(
            rate.at_home(by_place[place]) for place, rate in known.items() if rate
        )
        found[currency] = About(cents, used[0].home, tuple(dict.fromkeys(used)))
    return found


def _rate(row: ExchangeRate) -> Rate:
    return Rate(
        currency=row.currency,
        home=row.home,
        rate=row.rate,
        on=row.rated_on,
        source=row.source,
        entered_by=str(row.entered_by),
    )

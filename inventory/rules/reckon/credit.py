"""What a supplier credits for one crate, from its terms and the crate's dates.

In (only ``deposit``, ``terms`` with the three keys marked *, ``leaves_on`` and the
day that starts the clock are needed)::

    {"deposit": "400.00", "currency": "USD",
     "terms": {"clock_starts": "invoice" | "shipment" | "receipt",      *
               "clock_stops": "pick-up" | "bill-date" | "receipt",      *
               "full_days": 90,                                         *
               "includes_last_day": true,
               "decline": "none" | "steps" | "straight",
               "steps": [{"after_day": 90, "percent": "75"}],
               "ends_day": 180, "ceiling": "25",
               "transit_days": 4, "unloading_days": 1, "memo_days": 30,
               "return_freight": "us" | "supplier", "minimum_per_pickup": 10,
               "needs_authorization": false, "needs_appointment": false,
               "oldest_first": true},
     "invoiced_on": DAY, "shipped_on": DAY, "received_on": DAY,
     "leaves_on": DAY, "bill_on": DAY, "received_back_on": DAY,
     "held_from": DAY, "held_to": DAY, "clock_stopped": false,
     "parts": [{"part": "bracket", "problem": "missing" | "damaged",
                "each": "15.00", "count": 2}],
     "table": {"from": DAY, "to": DAY}}

Out: ``currency``, ``deposit``, ``credit``, ``late_loss``, ``hold_loss`` (a part of the
late loss), ``deductions``, ``days_out``, ``percent``, ``started_on``, ``stopped_on``,
``last_full_day``, ``last_day``, ``memo_due_on`` (each a day or null), ``by_day`` (for
the days of ``table``: ``leaves_on``, ``credit``, ``lost_since_day_before``) and
``steps``. Money and percents are texts with two places, days YYYY-MM-DD.
"""

import datetime as dt
from decimal import Decimal
from typing import Any

from inventory.rules.deposits.credit import (
    DECLINES,
    MOST_DAYS,
    PART_PROBLEMS,
    PAYERS,
    STARTS,
    STOPS,
    Credit,
    DepositError,
    Facts,
    PartLoss,
    Terms,
    credit_by_day,
    credit_on,
)
from inventory.rules.reckon.reading import Reader, ReckonError, named
from inventory.rules.reckoning.money import (
    Money,
    MoneyError,
    check_currency,
    plain_cents,
)

_DAYS = (
    *("invoiced_on", "shipped_on", "received_on", "leaves_on", "bill_on"),
    *("received_back_on", "held_from", "held_to"),
)
_KEYS = ("deposit", "currency", "terms", *_DAYS, "clock_stopped", "parts", "table")
_NEEDED_TERMS = ("clock_starts", "clock_stops", "full_days")
_TERMS = (
    *_NEEDED_TERMS,
    *("includes_last_day", "decline", "steps", "ends_day", "ceiling"),
    *("return_freight", "minimum_per_pickup", "needs_authorization"),
    *("needs_appointment", "transit_days", "unloading_days", "oldest_first"),
    "memo_days",
)
_MOST_ROWS = 1000


def reckon_credit(obj: dict[str, Any]) -> dict[str, Any]:
    """Return the credit of one crate, the days that matter, and the steps.

    Raise ReckonError, one clear line, for bad input.
    """
    reader = Reader(obj, keys=_KEYS, required=("deposit", "terms", "leaves_on"))
    try:
        terms, facts = _terms(reader), _facts(reader)
        credit = credit_on(terms, facts)
        rows = _table(reader, terms, facts)
    except (DepositError, MoneyError) as error:
        raise ReckonError(str(error)) from None
    return _answer(credit, rows)


def _terms(reader: Reader) -> Terms:
    inner = reader.need(
        lambda key: reader.inner(key, keys=_TERMS, required=_NEEDED_TERMS), "terms"
    )

    def count(key: str) -> int | None:
        return inner.whole(key, most=MOST_DAYS)

    return Terms(
        clock_starts=inner.need(inner.one_of(STARTS), "clock_starts"),
        clock_stops=inner.need(inner.one_of(STOPS), "clock_stops"),
        full_days=inner.need(count, "full_days"),
        includes_last_day=inner.flag("includes_last_day") is not False,
        decline=inner.one_of(DECLINES)("decline") or "none",
        steps=_steps(inner),
        ends_day=count("ends_day"),
        ceiling=inner.decimal("ceiling"),
        return_freight=inner.one_of(PAYERS)("return_freight") or "us",
        minimum_per_pickup=count("minimum_per_pickup") or 0,
        needs_authorization=inner.flag("needs_authorization") or False,
        needs_appointment=inner.flag("needs_appointment") or False,
        transit_days=count("transit_days") or 0,
        unloading_days=count("unloading_days") or 0,
        oldest_first=inner.flag("oldest_first") is not False,
        memo_days=count("memo_days"),
    )


def _steps(terms: Reader) -> tuple[tuple[int, Decimal], ...]:
    keys = ("after_day", "percent")
    found = []
    for row in terms.inner_list("steps", keys=keys, required=keys):
        after = row.whole("after_day", most=MOST_DAYS)
        found.append((after or 0, row.need(row.decimal, "percent")))
    return tuple(found)


def _facts(reader: Reader) -> Facts:
    code = reader.text("currency") or "USD"
    try:
        currency = check_currency(code)
    except MoneyError as error:
        raise ReckonError(f'"currency": {error}') from None
    return Facts(
        deposit=_money(reader, "deposit", currency),
        invoiced_on=reader.day("invoiced_on"),
        shipped_on=reader.day("shipped_on"),
        received_on=reader.day("received_on"),
        leaves_on=reader.day("leaves_on"),
        bill_on=reader.day("bill_on"),
        received_back_on=reader.day("received_back_on"),
        parts=_parts(reader, currency),
        held_from=reader.day("held_from"),
        held_to=reader.day("held_to"),
        is_clock_stopped=reader.flag("clock_stopped") or False,
    )


def _money(reader: Reader, key: str, currency: str, where: str = "") -> Money:
    amount = reader.need(reader.decimal, key)
    path = named(f"{where}{key}")
    if amount < 0:
        raise ReckonError(f"{path} is less than zero.")
    try:
        return Money.of(amount, currency)
    except MoneyError as error:
        raise ReckonError(f"{path}: {error}") from None


def _parts(reader: Reader, currency: str) -> tuple[PartLoss, ...]:
    needed = ("part", "problem", "each")
    rows = reader.inner_list("parts", keys=(*needed, "count"), required=needed)
    if len(rows) > _MOST_ROWS:
        raise ReckonError(f'"parts" holds more than {_MOST_ROWS:,} lines.')
    found = []
    for place, row in enumerate(rows, start=1):
        count = row.whole("count", most=MOST_DAYS)
        found.append(
            PartLoss(
                part=row.need(row.text, "part"),
                problem=row.need(row.one_of(PART_PROBLEMS), "problem"),
                each=_money(row, "each", currency, f"parts[{place}]."),
                count=1 if count is None else count,
            )
        )
    return tuple(found)


def _table(reader: Reader, terms: Terms, facts: Facts) -> list[dict[str, str]]:
    inner = reader.inner("table", keys=("from", "to"), required=("from", "to"))
    if inner is None:
        return []
    first, last = inner.need(inner.day, "from"), inner.need(inner.day, "to")
    if not 0 <= (last - first).days < _MOST_ROWS:
        raise ReckonError(
            f'"table" goes from a day to the same or a later one, at most {_MOST_ROWS:,} days.'
        )
    amounts = credit_by_day(terms, facts, first, last)
    return [
        {
            "leaves_on": (first + dt.timedelta(days=number)).isoformat(),
            "credit": _plain(each),
            "lost_since_day_before": _plain(amounts[max(number - 1, 0)] - each),
        }
        for number, each in enumerate(amounts)
    ]


def _plain(money: Money) -> str:
    return plain_cents(money.cents, money.currency)


def _iso(day: dt.date | None) -> str | None:
    return None if day is None else day.isoformat()


def _answer(credit: Credit, rows: list[dict[str, str]]) -> dict[str, Any]:
    deposit = credit.facts.deposit
    return {
        "currency": deposit.currency,
        "deposit": _plain(deposit),
        "credit": _plain(credit.credited),
        "late_loss": _plain(credit.late_loss),
        "hold_loss": _plain(credit.hold_loss),
        "deductions": _plain(credit.deductions),
        "days_out": credit.days_out,
        "percent": f"{credit.percent:.2f}",
        "started_on": credit.started_on.isoformat(),
        "stopped_on": credit.stopped_on.isoformat(),
        "last_full_day": _iso(credit.last_full_day),
        "last_day": _iso(credit.last_day),
        "memo_due_on": _iso(credit.memo_due_on),
        "by_day": rows,
        "steps": list(credit.steps),
    }

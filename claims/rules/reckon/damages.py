"""Calculating the amount of a claim from one JSON object, money as strings."""

from fractions import Fraction
from typing import Any

from claims.rules.damages.facts import (
    BASES,
    OUTCOMES,
    DamagesError,
    Freight,
    LossLine,
    Step,
)
from claims.rules.damages.limits import PROBLEMS, LimitTerms
from claims.rules.damages.measure import Worksheet, measure_damages
from inventory.rules.reckon.reading import Reader, ReckonError, named
from inventory.rules.reckoning.measures import Mass
from inventory.rules.reckoning.money import (
    MoneyError,
    check_currency,
    plain_cents,
    to_cents,
    two_places,
)

_KEYS = ("currency", "basis", "lines", "freight", "limit")
_LINE_KEYS = (
    "label",
    "article",
    "outcome",
    "value",
    "repair",
    "salvage",
    "proceeds",
    "weight_kg",
    "weight_lb",
    "mitigation",
    "recovered",
)
_FREIGHT_KEYS = ("paid", "total_weight_kg")
_LIMIT_KEYS = (
    "regime",
    "per_lb",
    "per_kg",
    "packages",
    "declared",
    "sdr_rate",
    "shipment_weight_kg",
    "carriage_on",
    "per_lb_used",
    "goods",
    "maximum",
    "sdr_rate_on",
)
_REGIMES = (
    "us-motor",
    "us-motor-older",
    "us-rail",
    "us-intrastate",
    "canada-road",
    "cmr",
    "cogsa",
    "hague-visby",
    "montreal",
    "cim",
    "parcel",
    "private",
)
_MISSING = {
    "weight": "lines[].weight_kg",
    "shipment-weight": "limit.shipment_weight_kg",
    "carriage-day": "limit.carriage_on",
    "too-early": "limit.carriage_on",
    "currency": "currency",
    "two-rates": "limit",
    "wrong-rate": "limit",
}
_MOST_LINES = 2000


def reckon_damages(obj: dict[str, Any]) -> dict[str, Any]:
    """Return the worksheet of the lines in ``obj``.

    Raise ReckonError, one clear line, for bad input.
    """
    reader = Reader(obj, keys=_KEYS, required=("currency", "basis", "lines"))
    currency = _currency(reader)
    basis = reader.need(lambda key: reader.choice(key, BASES), "basis")
    lines = _lines(reader, currency)
    try:
        sheet = measure_damages(
            lines,
            basis=basis,
            currency=currency,
            freight=_freight(reader, currency),
            terms=_terms(reader, currency),
        )
    except DamagesError as error:
        raise ReckonError(str(error)) from None
    if sheet.limit.problem in _MISSING:
        where = named(_MISSING[sheet.limit.problem])
        raise ReckonError(f"{where}: {PROBLEMS[sheet.limit.problem]}")
    return _answer(sheet)


def _currency(reader: Reader) -> str:
    code = reader.need(reader.text, "currency")
    try:
        return check_currency(code)
    except MoneyError as error:
        raise ReckonError(f'"currency": {error}') from None


def _cents(reader: Reader, key: str, currency: str, where: str) -> int | None:
    """Return an amount of money, not below zero, in minor units."""
    amount = reader.decimal(key)
    if amount is None:
        return None
    path = named(f"{where}{key}")
    if amount < 0:
        raise ReckonError(f"{path} is less than zero.")
    try:
        return to_cents(amount, currency)
    except MoneyError as error:
        raise ReckonError(f"{path}: {error}") from None


def _mass(reader: Reader, key: str, unit: str, where: str) -> Mass | None:
    amount = reader.decimal(key)
    if amount is None:
        return None
    if amount < 0:
        raise ReckonError(f"{named(f'{where}{key}')} is less than zero.")
    return Mass(amount, unit)


def _lines(reader: Reader, currency: str) -> list[LossLine]:
    rows = reader.inner_list(
        "lines", keys=_LINE_KEYS, required=("label", "outcome", "value")
    )
    if not rows:
        raise ReckonError('"lines" is empty.')
    if len(rows) > _MOST_LINES:
        raise ReckonError(f'"lines" holds more than {_MOST_LINES:,} lines.')
    return [
        _line(row, currency, f"lines[{place}].") for place, row in enumerate(rows, 1)
    ]


def _line(row: Reader, currency: str, where: str) -> LossLine:
    in_kg = _mass(row, "weight_kg", "kg", where)
    in_lb = _mass(row, "weight_lb", "lb", where)
    if in_kg and in_lb:
        raise ReckonError(f"{where}weight: give weight_kg or weight_lb, not both.")

    def cents(key: str) -> int:
        return _cents(row, key, currency, where) or 0

    return LossLine(
        label=row.need(row.text, "label"),
        outcome=row.need(lambda key: row.choice(key, OUTCOMES), "outcome"),
        value_cents=cents("value"),
        article=row.text("article") or "",
        repair_cents=cents("repair"),
        salvage_cents=cents("salvage"),
        proceeds_cents=cents("proceeds"),
        mass=in_kg or in_lb,
        mitigation_cents=cents("mitigation"),
        recovered_cents=cents("recovered"),
    )


def _freight(reader: Reader, currency: str) -> Freight | None:
    inner = reader.inner("freight", keys=_FREIGHT_KEYS)
    if inner is None:
        return None
    paid = _cents(inner, "paid", currency, "freight.")
    return Freight(paid or 0, _mass(inner, "total_weight_kg", "kg", "freight."))


def _terms(reader: Reader, currency: str) -> LimitTerms | None:
    inner = reader.inner("limit", keys=_LIMIT_KEYS)
    if inner is None:
        return None
    for key in ("per_lb", "per_kg", "per_lb_used", "sdr_rate"):
        figure = inner.decimal(key)
        if figure is not None and (figure < 0 or (key == "sdr_rate" and not figure)):
            raise ReckonError(f"{named(f'limit.{key}')} must be above zero.")
    return LimitTerms(
        regime=inner.choice("regime", _REGIMES) or "",
        per_lb=inner.decimal("per_lb"),
        per_kg=inner.decimal("per_kg"),
        per_lb_used=inner.decimal("per_lb_used"),
        goods=inner.choice("goods", ("new", "used")) or "new",
        packages=inner.whole("packages"),
        declared_cents=_cents(inner, "declared", currency, "limit."),
        maximum_cents=_cents(inner, "maximum", currency, "limit."),
        sdr_rate=inner.decimal("sdr_rate"),
        sdr_rate_on=inner.day("sdr_rate_on"),
        shipment_mass=_mass(inner, "shipment_weight_kg", "kg", "limit."),
        carriage_on=inner.day("carriage_on"),
    )


def _answer(sheet: Worksheet) -> dict[str, Any]:
    def money(cents: int) -> str:
        return plain_cents(cents, sheet.currency)

    limit = sheet.limit_cents
    record = sheet.limit.record
    return {
        "lines": [
            {
                "label": line.label,
                "article": line.article,
                "loss": money(line.loss_cents),
                "steps": _steps(line.steps, sheet.currency),
            }
            for line in sheet.lines
        ],
        "freight": money(sheet.freight_cents),
        "claimed": money(sheet.claimed_cents),
        "limit": None if limit is None else money(limit),
        "limit_sdr": None if sheet.limit_sdr is None else _sdr(sheet.limit_sdr),
        "expected": money(sheet.expected_cents),
        "expected_by_article": money(sheet.expected_by_article_cents),
        "already_recovered": money(sheet.recovered_cents),
        "balance": money(sheet.balance_cents),
        "authority": record.authority if record else None,
        "confidence": record.confidence if record else None,
        "steps": _steps(sheet.steps, sheet.currency),
    }


def _sdr(exact: Fraction) -> str:
    return two_places(exact)


def _steps(steps: tuple[Step, ...], currency: str) -> list[str]:
    return [
        f"{step.text}."
        if step.cents is None
        else f"{step.text}: {plain_cents(step.cents, currency)}."
        for step in steps
    ]

"""The limit of liability on a claim: a ceiling, with the reasons for it.

It is calculated once for each complete article, package or weight, whatever the
number of lines, and shown with the full loss, which is what is claimed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from claims.rules.damages.facts import Step
from claims.rules.damages.limits_facts import PROBLEMS, Limit, LimitTerms
from claims.rules.damages.limits_records import LimitRecord, limit_records
from inventory.rules.reckoning.measures import Mass, format_exact
from inventory.rules.reckoning.money import (
    format_cents,
    format_rate,
    round_half_up,
)

__all__ = ["PROBLEMS", "Limit", "LimitTerms", "find_limit"]


@dataclass(frozen=True)
class _Case:
    terms: LimitTerms
    currency: str
    masses: tuple[Mass | None, ...]
    charges_cents: int
    record: LimitRecord | None = None


class _StoppedError(Exception):
    """A problem that stops the calculation, used inside this module only."""


def find_limit(
    terms: LimitTerms,
    masses: Sequence[Mass | None],
    *,
    currency: str,
    charges_cents: int = 0,
) -> Limit:
    """Return the limit on a claim for articles of these complete masses.

    ``charges_cents`` are carriage charges refunded; they are outside the limit
    where the regime says so.
    """
    case = _Case(terms, currency, tuple(masses), charges_cents)
    try:
        case = replace(case, record=_record(terms))
        limit = _own_limit(case)
    except _StoppedError as stopped:
        limit = Limit(record=case.record, problem=str(stopped))
    return _with_charges(case, _with_maximum(case, _with_declared(case, limit)))


def _record(terms: LimitTerms) -> LimitRecord | None:
    found = limit_records(terms.regime)
    dated = [record for record in found if record.applies_from]
    if not dated:
        return found[0] if found else None
    if terms.per_kg is not None and terms.carriage_on is None:
        return dated[-1]
    if terms.carriage_on is None:
        if terms.declared_cents is not None:
            return dated[-1]
        raise _StoppedError("carriage-day")
    running = [
        record
        for record in dated
        if record.applies_from and record.applies_from <= terms.carriage_on
    ]
    if not running:
        raise _StoppedError("too-early")
    return running[-1]


def _own_limit(case: _Case) -> Limit:
    measure = case.record.measure if case.record else "article"
    return _BY_MEASURE[measure](case)


def _rate(case: _Case) -> tuple[Decimal, str] | None:
    """Return the agreed rate and its unit, or None where nothing was agreed."""
    terms = case.terms
    per_lb = terms.per_lb
    if terms.goods == "used" and terms.per_lb_used is not None:
        per_lb = terms.per_lb_used
    if per_lb is not None and terms.per_kg is not None:
        raise _StoppedError("two-rates")
    if per_lb is not None:
        return per_lb, "lb"
    return (terms.per_kg, "kg") if terms.per_kg is not None else None


def _weight(mass: Mass | None, unit: str, problem: str = "weight") -> Fraction:
    if mass is None:
        raise _StoppedError(problem)
    return mass.pounds if unit == "lb" else mass.kilograms


def _by_article(case: _Case) -> Limit:
    rate = _rate(case)
    if rate is None:
        return Limit(record=case.record, steps=_no_limit(case))
    figure, unit = rate
    exact = [Fraction(figure) * _weight(mass, unit) for mass in case.masses]
    ceilings = tuple(round_half_up(each, case.currency) for each in exact)
    total = round_half_up(sum(exact, Fraction(0)), case.currency)
    weight = format_exact(sum((_weight(m, unit) for m in case.masses), Fraction(0)))
    words = (
        f"Released value {format_rate(figure)} a {unit} on {weight} {unit}, "
        "the complete articles"
    )
    return Limit(total, None, ceilings, (Step(words, total),), case.record)


def _no_limit(case: _Case) -> tuple[Step, ...]:
    if case.terms.declared_cents is not None:
        return ()
    words = case.record.words if case.record else "No limit was stated."
    return (Step(f"No limit is known. {words}".removesuffix(".")),)


def _by_shipment(case: _Case) -> Limit:
    record = _present(case)
    rate = _rate(case)
    figure, unit = rate or (record.figure or Decimal(0), "kg")
    if rate is None and case.currency != record.unit:
        raise _StoppedError("currency")
    weight = _weight(case.terms.shipment_mass, unit, "shipment-weight")
    total = round_half_up(Fraction(figure) * weight, case.currency)
    words = (
        f"{format_rate(figure)} a {unit} on the whole shipment, "
        f"{format_exact(weight)} {unit}"
    )
    return Limit(total, None, (), (Step(words, total),), record)


def _by_affected_weight(case: _Case) -> Limit:
    record = _present(case)
    if case.terms.per_lb is not None:
        raise _StoppedError("wrong-rate")
    figure = case.terms.per_kg
    figure = figure if figure is not None else record.figure or Decimal(0)
    weight = sum((_weight(mass, "kg") for mass in case.masses), Fraction(0))
    words = f"{format_rate(figure)} SDR a kg on {format_exact(weight)} kg gross"
    return _in_money(case, Fraction(figure) * weight, (words,))


def _by_package(case: _Case) -> Limit:
    record = _present(case)
    if case.terms.per_lb is not None or case.terms.per_kg is not None:
        raise _StoppedError("wrong-rate")
    if case.currency != record.unit:
        raise _StoppedError("currency")
    count, words = _packages(case)
    figure = record.figure or Decimal(0)
    total = round_half_up(figure * count, case.currency)
    steps = (Step(f"{format_rate(figure)} a package, {words}", total),)
    return Limit(total, None, (), steps, record)


def _packages(case: _Case) -> tuple[int, str]:
    count = case.terms.packages
    if count is not None:
        return count, f"{count} package{'' if count == 1 else 's'}"
    count = len(case.masses)
    words = "no count was given, so each article counts as one package"
    return count, f"{count}: {words}"


def _by_package_or_weight(case: _Case) -> Limit:
    record = _present(case)
    if case.terms.per_lb is not None:
        raise _StoppedError("wrong-rate")
    count, count_words = _packages(case)
    by_package = Fraction(record.figure or 0) * count
    words = [f"{format_rate(record.figure or Decimal(0))} SDR a package, {count_words}"]
    if None in case.masses:
        words.append("No weight was given, so only packages are counted")
        return _in_money(case, by_package, tuple(words))
    figure = case.terms.per_kg
    figure = figure if figure is not None else record.kg_figure or Decimal(0)
    weight = sum((_weight(mass, "kg") for mass in case.masses), Fraction(0))
    by_weight = Fraction(figure) * weight
    words.append(f"{format_rate(figure)} SDR a kg on {format_exact(weight)} kg")
    better = "weight" if by_weight > by_package else "packages"
    words.append(f"The higher figure applies: {better}")
    return _in_money(case, max(by_package, by_weight), tuple(words))


SDR = "XDR"
"""The code of the Special Drawing Right (ISO 4217, from memory)."""


def _in_money(case: _Case, sdr: Fraction, words: tuple[str, ...]) -> Limit:
    shown = f"{format_cents(round_half_up(sdr, SDR), SDR)} SDR"
    steps = [Step(each) for each in (*words, f"The limit in SDR: {shown}")]
    rate = case.terms.sdr_rate
    if rate is None:
        return Limit(None, sdr, (), tuple(steps), case.record, "sdr-rate")
    total = round_half_up(sdr * Fraction(rate), case.currency)
    day = case.terms.sdr_rate_on
    on = f", rate of {day:%d %b %Y}" if day else ", day of the rate not stated"
    steps.append(Step(f"At {rate} {case.currency} an SDR{on}", total))
    return Limit(total, sdr, (), tuple(steps), case.record)


def _with_declared(case: _Case, limit: Limit) -> Limit:
    declared = case.terms.declared_cents
    if declared is None:
        return limit
    own = limit.ceiling_cents
    higher_only = case.record is not None and case.record.declared_must_be_higher
    if higher_only and own is not None and declared <= own:
        words = "The declared value is no higher than the regime's figure, which stays"
        return replace(limit, steps=(*limit.steps, Step(words, own)))
    steps = (
        *limit.steps,
        Step("The declared value replaces the limit", declared),
    )
    if higher_only and own is None:
        steps = (*steps, Step("The regime's own figure could not be compared with it"))
    return replace(
        limit, ceiling_cents=declared, by_article=(), steps=steps, problem=""
    )


def _with_maximum(case: _Case, limit: Limit) -> Limit:
    most = case.terms.maximum_cents
    if most is None or (
        limit.ceiling_cents is not None and limit.ceiling_cents <= most
    ):
        return limit
    steps = (*limit.steps, Step("The most agreed for one shipment", most))
    return replace(limit, ceiling_cents=most, steps=steps)


def _with_charges(case: _Case, limit: Limit) -> Limit:
    outside = case.record is not None and case.record.charges_outside
    if not outside or not case.charges_cents or limit.ceiling_cents is None:
        return limit
    total = limit.ceiling_cents + case.charges_cents
    words = "plus carriage charges refunded, which are outside the limit"
    steps = (*limit.steps, Step(words, case.charges_cents))
    return replace(limit, ceiling_cents=total, steps=steps)


def _present(case: _Case) -> LimitRecord:
    if case.record is None:
        raise LookupError("This measure needs a regime.")
    return case.record


_BY_MEASURE: dict[str, Callable[[_Case], Limit]] = {
    "article": _by_article,
    "shipment-kg": _by_shipment,
    "affected-kg": _by_affected_weight,
    "package": _by_package,
    "package-or-kg": _by_package_or_weight,
}

"""The terms and the facts that the credit of a deposit is calculated from."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, cast

from django.db.models import Prefetch, QuerySet

from inventory.models import (
    Crate,
    CrateCheck,
    CrateCheckLine,
    CrateReturn,
    CrateTerms,
    Deposit,
    Location,
    PackagingHold,
    PartDeduction,
    ReturnLine,
    Supplier,
)
from inventory.queries.core.joined import joined
from inventory.rules.deposits.clock import start_day
from inventory.rules.deposits.credit import Facts, PartLoss, Terms
from inventory.rules.deposits.terms import (
    Decline,
    Payer,
    Problem,
    Starts,
    Stops,
)
from inventory.rules.reckoning.money import Money


def terms_for(supplier: Supplier, on: dt.date) -> CrateTerms | None:
    """Return the terms in force on a day: the latest start, the later row first."""
    rows = CrateTerms.objects.filter(supplier=supplier, starts_on__lte=on)
    return rows.order_by("-starts_on", "-pk").first()


def currency_of(location: Location, supplier: Supplier, on: dt.date) -> str:
    """Return the currency of a supplier's deposits here: its terms', else our own."""
    terms = terms_for(supplier, on)
    return terms.currency if terms else location.currency


def with_facts(deposits: QuerySet[Deposit]) -> QuerySet[Deposit]:
    """Join what ``terms_of`` and ``facts_of`` read, for a list of any length."""
    return deposits.select_related(
        "supplier",
        "location",
        "crate_type",
        "terms",
        "crate__shipment",
        "crate__delivery",
    ).prefetch_related(*_joined())


def _joined() -> tuple[Any, ...]:
    live = ReturnLine.objects.filter(is_taken_off=False).order_by("-pk")
    checks = CrateCheck.objects.order_by("-pk")
    return (
        "terms__steps",
        Prefetch("terms__deductions", PartDeduction.objects.select_related("part")),
        Prefetch("crate__checks", checks.prefetch_related("lines__part")),
        Prefetch("crate__packaging_holds", PackagingHold.objects.order_by("pk")),
        Prefetch(
            "return_lines", live.select_related("crate_return"), to_attr="live_lines"
        ),
    )


def terms_of(deposit: Deposit) -> Terms | None:
    """Return the terms the deposit was charged under, or None where none were kept."""
    return None if deposit.terms is None else rule_of(deposit.terms)


def rule_of(row: CrateTerms) -> Terms:
    """Return stored terms in the form of the rules; join their steps for lists."""
    return Terms(
        clock_starts=cast("Starts", row.clock_starts),
        clock_stops=cast("Stops", row.clock_stops),
        full_days=row.full_days,
        includes_last_day=row.includes_last_day,
        decline=cast("Decline", row.decline),
        steps=tuple(
            (step.after_day, Decimal(step.percent)) for step in row.steps.all()
        ),
        ends_day=row.ends_day,
        ceiling=row.ceiling_percent,
        return_freight=cast("Payer", row.return_freight),
        minimum_per_pickup=row.minimum_per_pickup,
        needs_authorization=row.needs_authorization,
        needs_appointment=row.needs_appointment,
        transit_days=row.transit_days,
        unloading_days=row.unloading_days,
        oldest_first=row.oldest_first,
        memo_days=row.memo_days,
    )


def facts_of(deposit: Deposit, leaves_on: dt.date | None) -> Facts:
    """Return the facts of the deposit's crate, if it leaves, or left, on a day.

    The deposit comes ``with_facts``. Bill and receipt of its return count only for
    the day it was picked up on. The deductions are those of its last check, at the
    prices of the deposit's terms.
    """
    crate = deposit.crate
    money = Money(deposit.amount_cents, deposit.currency)
    if crate is None:
        return Facts(
            deposit=money, invoiced_on=deposit.invoiced_on, leaves_on=leaves_on
        )
    went = _went(deposit, leaves_on)
    facts = Facts(
        deposit=money,
        invoiced_on=deposit.invoiced_on,
        shipped_on=crate.shipment.bol_on,
        received_on=crate.delivery.arrived_on if crate.delivery else None,
        leaves_on=leaves_on,
        bill_on=went.billed_on if went else None,
        received_back_on=went.received_back_on if went else None,
        parts=_parts(deposit, crate),
    )
    starts = deposit.terms.clock_starts if deposit.terms else ""
    return with_holds(facts, starts, crate.packaging_holds.all())


def _went(deposit: Deposit, leaves_on: dt.date | None) -> CrateReturn | None:
    """Return the return that took the crate on this very day."""
    lines: list[ReturnLine] = joined(deposit, "live_lines")
    for line in lines:
        if leaves_on is not None and line.crate_return.picked_up_on == leaves_on:
            return line.crate_return
    return None


def _parts(deposit: Deposit, crate: Crate) -> tuple[PartLoss, ...]:
    """Return what the last check found wrong, priced; no price is no deduction."""
    last = next(iter(crate.checks.all()), None)
    if last is None or deposit.terms is None:
        return ()
    prices = {price.part_id: price for price in deposit.terms.deductions.all()}
    return parts_lost(deposit.currency, prices, last.lines.all())


def parts_lost(
    currency: str,
    prices: Mapping[int, PartDeduction],
    lines: Iterable[CrateCheckLine],
) -> tuple[PartLoss, ...]:
    """Return what a check's lines found wrong, priced; no price is no deduction."""
    found = []
    for line in lines:
        price = prices.get(line.part_id)
        if price is None:
            continue
        for problem, count, cents in (
            ("missing", line.missing, price.missing_cents),
            ("damaged", line.damaged, price.damaged_cents),
        ):
            if count:
                each = Money(cents, currency)
                kind = cast("Problem", problem)
                found.append(PartLoss(line.part.name, kind, each, count))
    return tuple(found)


def with_holds(
    facts: Facts, clock_starts: str, holds: Iterable[PackagingHold]
) -> Facts:
    """Return the facts with a crate's packaging holds, told as one.

    Two holds count as one that begins so much earlier that the held days are right:
    those before the day on which the clock starts are none.
    """
    in_order = sorted(holds, key=lambda hold: hold.pk)
    if not in_order:
        return facts
    start = start_day(clock_starts, facts) or dt.date.min
    *before, last = in_order
    earlier = sum(
        max(0, (hold.released_on - max(hold.placed_on, start)).days)
        for hold in before
        if hold.released_on is not None
    )
    return replace(
        facts,
        held_from=last.placed_on - dt.timedelta(days=earlier),
        held_to=last.released_on,
        is_clock_stopped=all(hold.supplier_stopped_on is not None for hold in in_order),
    )

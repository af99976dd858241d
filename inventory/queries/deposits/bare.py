"""Deposits by the few columns that a credit is counted from.

A list that is ordered or summed over all that is open reads these, and joins only the
rows that it shows. The rules and the days are the same as of rows ``with_facts``.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from inventory.models import (
    CrateCheck,
    CrateCheckLine,
    CrateReturn,
    CrateTerms,
    PackagingHold,
    PartDeduction,
    ReturnLine,
)
from inventory.queries.deposits.facts import parts_lost, rule_of, with_holds
from inventory.rules.deposits.credit import Facts, PartLoss, Terms
from inventory.rules.reckoning.money import Money

Answer = TypeVar("Answer")

OF_DEPOSIT = (
    "pk",
    "currency",
    "amount_cents",
    "invoiced_on",
    "terms_id",
    "crate_id",
)
OF_CRATE = ("kind", "state", "shipment__bol_on", "delivery__arrived_on")


@dataclass(frozen=True, slots=True)
class BareDeposit:
    """One deposit: the columns ``OF_DEPOSIT``, and ``OF_CRATE`` of its crate if any."""

    key: int
    currency: str
    cents: int
    invoiced_on: dt.date
    terms: int | None
    crate: int | None
    kind: str = ""
    state: str = ""
    shipped_on: dt.date | None = None
    received_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class _Kept:
    """Terms as the rules read them, and the price of each part."""

    rule: Terms
    prices: dict[int, PartDeduction]


class BareFacts:
    """The terms and facts of many deposits, in a fixed number of queries."""

    def __init__(
        self, rows: Iterable[BareDeposit], also: Iterable[BareDeposit] = ()
    ) -> None:
        """Read what belongs to these deposits; of ``also`` but their terms and returns."""
        counted = list(rows)
        found = {row.key: row for row in (*counted, *also)}
        crates = [row.crate for row in counted if row.crate is not None]
        self._terms = _terms({row.terms for row in found.values()})
        self._checks = _last_checks(crates)
        self._holds = _holds(crates)
        self._went = _returns(list(found))
        self._answers: dict[object, object] = {}

    def terms_of(self, row: BareDeposit) -> Terms | None:
        """Return the terms the deposit was charged under, or None."""
        return None if row.terms is None else self._terms[row.terms].rule

    def facts_of(self, row: BareDeposit, leaves_on: dt.date | None) -> Facts:
        """Return the facts of the deposit's crate, if it leaves, or left, on a day."""
        money = Money(row.cents, row.currency)
        if row.crate is None:
            return Facts(
                deposit=money, invoiced_on=row.invoiced_on, leaves_on=leaves_on
            )
        went = self._went_on(row, leaves_on)
        facts = Facts(
            deposit=money,
            invoiced_on=row.invoiced_on,
            shipped_on=row.shipped_on,
            received_on=row.received_on,
            leaves_on=leaves_on,
            bill_on=went.billed_on if went else None,
            received_back_on=went.received_back_on if went else None,
            parts=self._parts(row),
        )
        terms = self.terms_of(row)
        starts = terms.clock_starts if terms else ""
        return with_holds(facts, starts, self._holds.get(row.crate, ()))

    def must_stay(self, row: BareDeposit) -> bool:
        """Return whether a packaging hold is in force on its crate."""
        holds = () if row.crate is None else self._holds.get(row.crate, ())
        return any(hold.released_at is None for hold in holds)

    def memo_days_of(self, row: BareDeposit) -> list[dt.date | None]:
        """Return the days its returns' memos are due, of the latest return first."""
        return [went.memo_due_on for went in self._went.get(row.key, ())]

    def once(self, key: object, count: Callable[[], Answer]) -> Answer:
        """Count once what is asked of equal facts: many crates came on one truck."""
        if key not in self._answers:
            self._answers[key] = count()
        return self._answers[key]  # type: ignore[return-value]

    def _went_on(
        self, row: BareDeposit, leaves_on: dt.date | None
    ) -> CrateReturn | None:
        if leaves_on is None:
            return None
        for went in self._went.get(row.key, ()):
            if went.picked_up_on == leaves_on:
                return went
        return None

    def _parts(self, row: BareDeposit) -> tuple[PartLoss, ...]:
        lines = self._checks.get(row.crate or 0)
        if not lines or row.terms is None:
            return ()
        return parts_lost(row.currency, self._terms[row.terms].prices, lines)


def _terms(named: set[int | None]) -> dict[int, _Kept]:
    keys = {key for key in named if key is not None}
    rows = CrateTerms.everything.filter(pk__in=keys).prefetch_related(
        "steps", "deductions"
    )
    return {
        row.pk: _Kept(
            rule_of(row), {price.part_id: price for price in row.deductions.all()}
        )
        for row in rows
    }


def _last_checks(crates: list[int]) -> dict[int, list[CrateCheckLine]]:
    """Return the lines of each crate's last check."""
    rows = CrateCheck.objects.filter(crate__in=crates).order_by()
    last: dict[int, int] = {}
    for crate, key in rows.values_list("crate_id", "pk"):
        last[crate] = max(key, last.get(crate, 0))
    crate_of = {key: crate for crate, key in last.items()}
    found: dict[int, list[CrateCheckLine]] = defaultdict(list)
    lines = CrateCheckLine.objects.filter(check_of__in=crate_of).order_by("pk")
    for line in lines.select_related("part"):
        found[crate_of[line.check_of_id]].append(line)
    return found


def _holds(crates: list[int]) -> dict[int, list[PackagingHold]]:
    found: dict[int, list[PackagingHold]] = defaultdict(list)
    rows = PackagingHold.objects.filter(crate__in=crates).order_by("pk")
    for hold in rows:
        found[hold.crate_id].append(hold)
    return found


def _returns(deposits: list[int]) -> dict[int, list[CrateReturn]]:
    """Return the returns that took each deposit's crate, the latest line first."""
    lines = ReturnLine.objects.filter(deposit__in=deposits, is_taken_off=False)
    pairs = sorted(
        lines.order_by().values_list("pk", "deposit_id", "crate_return_id"),
        reverse=True,
    )
    days = ("picked_up_on", "billed_on", "received_back_on", "memo_due_on")
    rows = CrateReturn.objects.filter(pk__in={key for _, _, key in pairs}).only(*days)
    by_key = {row.pk: row for row in rows}
    found: dict[int, list[CrateReturn]] = defaultdict(list)
    for _, deposit, key in pairs:
        found[deposit].append(by_key[key])
    return found

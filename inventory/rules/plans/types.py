"""The input and output of the dated planner."""

import datetime as dt
from dataclasses import dataclass

from inventory.rules.deposits.credit import Facts, Terms, credit_by_day
from inventory.rules.plans.period_trucks import PlanError
from inventory.rules.reckoning.money import Money

MOST_DAYS = 400
MOST_CRATES = 5_000


@dataclass(frozen=True, slots=True)
class PlanCrate:
    """One crate of the supplier, on hand or expected.

    ``credits`` is the credit for leaving on ``available_on``, the first day it may
    leave, and on each day after, up to the horizon's last day or beyond. A crate that
    is held is listed, not planned.
    """

    key: str
    available_on: dt.date
    credits: tuple[Money, ...]
    is_held: bool = False

    def credit_if_left(self, on: dt.date) -> Money:
        """Return the credit for leaving on ``on``, not before ``available_on``."""
        return self.credits[(on - self.available_on).days]


@dataclass(frozen=True, slots=True)
class Costs:
    """What sending back costs us. Where the supplier pays the freight, nothing.

    ``per_pickup`` is for one truck, which takes ``capacity`` crates (None: all).
    ``yard_per_day`` is for one crate and one night. ``minimum`` is the fewest crates
    for which the supplier's pick-up comes.
    """

    per_pickup: Money
    freight_per_crate: Money
    yard_per_day: Money
    capacity: int | None = None
    minimum: int = 0


@dataclass(frozen=True, slots=True)
class Horizon:
    """The days planned, both ends in; no truck goes on ``closed`` days."""

    first: dt.date
    last: dt.date
    closed: frozenset[dt.date] = frozenset()

    def open_days(self) -> tuple[dt.date, ...]:
        """Return the days on which a truck may go, in order."""
        count = (self.last - self.first).days + 1
        days = (self.first + dt.timedelta(days=number) for number in range(count))
        return tuple(day for day in days if day not in self.closed)


@dataclass(frozen=True, slots=True)
class Dispatch:
    """One pick-up day: which crates go, and the parts of what it costs.

    ``yard`` and ``credit_lost`` run from the day each crate could have left.
    ``credit`` is what the crates still earn.
    """

    on: dt.date
    keys: tuple[str, ...]
    trucks: int
    pickup: Money
    freight: Money
    yard: Money
    credit_lost: Money
    credit: Money

    @property
    def cost(self) -> Money:
        """Return pick-up, freight, yard and lost credit together."""
        return self.pickup + self.freight + self.yard + self.credit_lost


@dataclass(frozen=True, slots=True)
class Schedule:
    """Dispatches in order, and the crates that stay to the end and earn nothing.

    A crate that stays loses its whole credit and pays the yard to the last day.
    """

    dispatches: tuple[Dispatch, ...]
    stays: tuple[str, ...]
    stays_yard: Money
    stays_credit_lost: Money

    @property
    def freight(self) -> Money:
        """Return pick-ups and freight of all dispatches."""
        none = self.stays_yard - self.stays_yard
        return sum((each.pickup + each.freight for each in self.dispatches), none)

    @property
    def yard(self) -> Money:
        """Return the yard cost of all crates."""
        return sum((each.yard for each in self.dispatches), self.stays_yard)

    @property
    def credit_lost(self) -> Money:
        """Return the credit lost by all crates."""
        lost = (each.credit_lost for each in self.dispatches)
        return sum(lost, self.stays_credit_lost)

    @property
    def cost(self) -> Money:
        """Return freight, yard and lost credit together."""
        return self.freight + self.yard + self.credit_lost


@dataclass(frozen=True, slots=True)
class Plan:
    """The cheapest schedule, two habits to compare with it, and what must not wait.

    ``is_proved`` means that no schedule costs less; otherwise none costs less than
    ``at_least``. ``must_go`` are crates of the first dispatch that lose credit if
    they miss it, with the loss up to the next one (or a week), largest first.
    ``held`` and ``later`` crates are not planned: held, or not here in time.
    """

    best: Schedule
    weekly: Schedule
    when_full: Schedule | None
    is_proved: bool
    at_least: Money
    must_go: tuple[tuple[str, Money], ...]
    held: tuple[str, ...]
    later: tuple[str, ...]
    steps: tuple[str, ...]


def plan_crate(
    key: str, terms: Terms, facts: Facts, *, available_on: dt.date, last: dt.date
) -> PlanCrate:
    """Return a crate with its credit by day from ``available_on`` to ``last``.

    Raise DepositError as ``credit_by_day`` does. Where ``available_on`` is after
    ``last`` there is no credit by day, and the planner lists the crate as later.
    """
    return PlanCrate(key, available_on, credit_by_day(terms, facts, available_on, last))


def check_question(
    crates: tuple[PlanCrate, ...], costs: Costs, horizon: Horizon
) -> None:
    """Raise PlanError, in one sentence, for what cannot be planned."""
    if not 0 <= (horizon.last - horizon.first).days < MOST_DAYS:
        raise PlanError(f"A plan must cover from 1 to {MOST_DAYS} days.")
    if len(crates) > MOST_CRATES:
        raise PlanError(f"A plan has at most {MOST_CRATES:,} crates.")
    if len({crate.key for crate in crates}) != len(crates):
        raise PlanError("A crate is in the plan twice.")
    if costs.capacity is not None and costs.capacity < 1:
        raise PlanError("A truck must take at least one crate.")
    amounts = (costs.per_pickup, costs.freight_per_crate, costs.yard_per_day)
    if min(*(each.cents for each in amounts), costs.minimum) < 0:
        raise PlanError("Costs and the minimum cannot be less than zero.")
    for crate in crates:
        _check_crate(crate, costs, horizon)


def _check_crate(crate: PlanCrate, costs: Costs, horizon: Horizon) -> None:
    if crate.is_held or crate.available_on > horizon.last:
        return
    if crate.available_on < horizon.first:
        raise PlanError(f"Crate {crate.key} would leave before the plan begins.")
    if len(crate.credits) <= (horizon.last - crate.available_on).days:
        raise PlanError(f"The credits of crate {crate.key} end before the plan does.")
    earlier = crate.credits[0]
    for credit in crate.credits:
        if credit.currency != costs.per_pickup.currency:
            raise PlanError(
                f"Crate {crate.key} is credited in {credit.currency}, but costs are "
                f"in {costs.per_pickup.currency}."
            )
        if not 0 <= credit.cents <= earlier.cents:
            raise PlanError(f"The credit of crate {crate.key} rises, or is below zero.")
        earlier = credit

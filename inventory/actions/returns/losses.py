"""A crate lost in return transit: the return carrier owes the loss."""

from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.versions import RefusedError, StaleRowError, change_row
from inventory.actions.crates.life import move_crate
from inventory.actions.deposits.short_rows import Decided, open_short, tell_decided
from inventory.actions.ledger.checks import open_day
from inventory.actions.ledger.locks import lock_book
from inventory.actions.ledger.posting import post_entry
from inventory.actions.returns.closing import close_settled
from inventory.actions.returns.deposits import joined_deposit, left_on
from inventory.actions.returns.staging import lock_return, require_act
from inventory.models import CrateReturn, Deposit, ReturnLine, ShortCredit, User
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from inventory.rules.memos import short_credits as shorts


def lose_crate(
    *,
    line: ReturnLine,
    version: int,
    lost_on: date,
    reason: str,
    person: User,
    at: datetime,
) -> None:
    """Record that the carrier lost a crate in return transit: the carrier owes the loss.

    Raise RefusedError where the supplier's own truck took it, and StaleRowError.
    """
    with transaction.atomic():
        row = line.crate_return
        lock_book(row.location, row.supplier, row.currency)
        row = lock_return(row)
        require_act(row, "lose")
        _refuse_own_truck(row)
        fresh = ReturnLine.objects.select_related("crate", "deposit").get(pk=line.pk)
        if fresh.is_taken_off or fresh.version != version:
            raise StaleRowError
        change_row(fresh, version=version, steps=[*fresh.steps, f"Lost: {reason}"])
        subjects = [row, *([fresh.deposit] if fresh.deposit else [])]
        move_crate(
            crate=fresh.crate,
            act="lose",
            person=person,
            at=at,
            data={"reason": reason, "carrier": str(row.carrier)},
            subjects=subjects,
        )
        if fresh.deposit is not None:
            fresh.deposit = joined_deposit(fresh.deposit)
            fresh.crate_return = row
            _post_loss(fresh, fresh.deposit, lost_on, reason, person=person, at=at)
            close_settled([fresh.deposit.pk], person=person, at=at)


def _refuse_own_truck(row: CrateReturn) -> None:
    if row.carrier is None:
        raise RefusedError(
            f"{row}: no carrier is named, so nobody can be charged with the loss. "
            "Nothing was saved. Enter the carrier first."
        )
    if row.carrier.mode == "supplier-truck":
        raise RefusedError(
            "The supplier's own truck took this crate, so no carrier owes the loss. "
            "Nothing was saved. Dispute the credit: the supplier's driver signed "
            "for the count."
        )


def _post_loss(
    line: ReturnLine,
    deposit: Deposit,
    lost_on: date,
    reason: str,
    *,
    person: User,
    at: datetime,
) -> None:
    row = line.crate_return
    expected = deposit_balance(deposit, postings.EXPECTED)
    disputed = deposit_balance(deposit, postings.DISPUTED)
    if not expected + disputed:
        return
    post_entry(
        kind="carrier-loss",
        location=row.location,
        supplier=row.supplier,
        currency=deposit.currency,
        effective_on=open_day(row.location, max(lost_on, left_on(row))),
        lines=postings.lost_by_carrier(
            deposit.pk, expected=expected, disputed=disputed
        ),
        posting_key=f"return-line:{line.pk}:lost",
        person=person,
        at=at,
        note=f"Lost by {row.carrier}: {reason}"[:300],
        subjects=[row],
    )
    told = 0
    live = ShortCredit.objects.filter(deposit=deposit, state__in=shorts.LIFE.live)
    joined = live.select_related("location", "deposit__crate")
    for short in joined.order_by("pk"):
        told += short.amount_cents
        change_row(
            short,
            version=short.version,
            cause="lost",
            state=shorts.ACCEPTED,
            settled_on=lost_on,
            explanation=f"{short.explanation}\n{reason}".strip()[:1000],
        )
        tell_decided("short.accepted", short, Decided(lost_on, "", person, at, reason))
    if expected + disputed > told:
        _tell_loss(
            deposit, expected + disputed - told, lost_on, reason, person=person, at=at
        )


def _tell_loss(
    deposit: Deposit,
    cents: int,
    lost_on: date,
    reason: str,
    *,
    person: User,
    at: datetime,
) -> None:
    open_short(
        deposit=deposit,
        cause="lost",
        cents=cents,
        opened_on=lost_on,
        state=shorts.ACCEPTED,
        explanation=reason,
        person=person,
        at=at,
    )

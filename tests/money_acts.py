"""Every act that moves money, as one table: what it needs, and how it is done.

``tests/race/test_money_at_once.py`` does each once alone, and by many people at once
on a twin of its book: both books must then hold the same.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from itertools import count
from typing import Any

from claims.actions.books.opening import open_claims_in_books
from claims.actions.claim import endings, payments, remittances
from claims.actions.claim.answers import accept_offer
from claims.models import Claim, ClaimPayment, Remittance
from claims.queries.books.open_to_pay import payers_at
from inventory.actions.deposits.ending import (
    bring_in_opening,
    charge_deposits,
    forfeit_deposit,
    withdraw_deposit,
)
from inventory.actions.ledger.reversals import reverse_alone
from inventory.actions.memos import short_credits as shorts
from inventory.actions.memos.later import match_credit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import reverse_memo
from inventory.actions.memos.suspense import return_credit, take_by_reason
from inventory.actions.memos.undoing import undo_decision
from inventory.actions.returns.losses import lose_crate, reverse_loss
from inventory.models import (
    CreditMemo,
    Deposit,
    Entry,
    Location,
    ReturnLine,
    ShortCredit,
    SuspenseLine,
    User,
)
from tests.claims.booking import do, filed_claim, older_claim
from tests.claims.stage import TODAY, step
from tests.making import make_carrier
from tests.people import make_location
from tests.returning import (
    AT,
    MEMO_DAY,
    decided,
    make_stage,
    memo_of,
    shipped,
)

_key = count(1)
Call = Callable[[int], object]


@dataclass(frozen=True)
class MoneyAct:
    """One act. ``ready`` makes a book; it returns its partner and a call of the act.

    The call is given the number of whoever makes it; each has a key of their own.
    """

    name: str
    ready: Callable[[Any], tuple[object, Call]]


def signature(partner):
    """Return what the book of this supplier or carrier holds, entry by entry."""
    own = {str(partner._meta.model_name): partner}
    entries = Entry.objects.filter(**own).prefetch_related("legs__account")
    return sorted(
        [one.kind, sorted([leg.account.kind, leg.cents] for leg in one.legs.all())]
        for one in entries
    )


# -- the supplier's side


def _book(who, crates=1):
    who.riverside.write_off_limit_cents = 100_000
    who.riverside.save()
    return make_stage(crates=crates, who=who)


def _said(book, number):
    return decided(book, "So.", posting_key=f"at-once-{next(_key)}-{number}")


def charged(who):
    book = _book(who)

    def call(number):
        return charge_deposits(
            **_invoice(book),
            crates=[],
            posting_key=f"charge-{next(_key)}-{number}",
        )

    return book.supplier, call


def opened(who):
    book = _book(who)

    def call(number):
        key = f"open-{next(_key)}-{number}"
        return bring_in_opening(**_invoice(book), opened_on=MEMO_DAY, posting_key=key)

    return book.supplier, call


def _invoice(book):
    return {
        "location": book.location,
        "supplier": book.supplier,
        "invoice_number": "ONE",
        "line_number": 1,
        "invoiced_on": MEMO_DAY,
        "crate_type": book.crate_type,
        "count": 2,
        "amount_cents": 12_000,
        "marks": [],
        "person": book.who.abel,
        "at": AT,
    }


def on_deposit(act, **more):
    """Return what does this act on the deposit of a crate in the yard."""

    def ready(who):
        book = _book(who)
        deposit = Deposit.objects.get(pk=book.deposits[0].pk)
        version = {"version": deposit.version} if act is withdraw_deposit else {}

        def call(number):
            return act(
                deposit=deposit,
                posting_key=f"deposit-{next(_key)}-{number}",
                reason="So.",
                person=book.who.abel,
                at=AT,
                **version,
                **more,
            )

        return book.supplier, call

    return ready


def reversed_alone(who):
    book = _book(who)
    entry = forfeit_deposit(
        deposit=book.deposits[0],
        forfeited_on=MEMO_DAY,
        reason="It stays here.",
        posting_key=f"forfeited-{next(_key)}",
        person=who.abel,
        at=AT,
    )

    def call(number):
        return reverse_alone(
            entry=entry,
            effective_on=MEMO_DAY,
            reason="So.",
            posting_key=f"back-{next(_key)}-{number}",
            person=who.abel,
            at=AT,
        )

    return book.supplier, call


def _memo(who, *, is_posted):
    """Enter a memo: a crate in full, one short by 30.00, and 10.00 that is not ours."""
    book = _book(who, crates=3)
    shipped(book)
    one, two, _three = book.crates
    lines = ((one, 12_000), (two, 9_000, "late"), (f"ZZ-{next(_key)}", 1_000))
    memo = memo_of(book, *lines, number=f"AT-ONCE-{next(_key)}")
    if is_posted:
        memo = post_memo(memo=memo, version=memo.version, person=who.abel, at=AT)
    return book, CreditMemo.objects.get(pk=memo.pk)


def posted(who):
    book, memo = _memo(who, is_posted=False)

    def call(_number):
        return post_memo(memo=memo, version=memo.version, person=who.abel, at=AT)

    return book.supplier, call


def memo_reversed(who):
    book, memo = _memo(who, is_posted=True)

    def call(_number):
        return reverse_memo(
            memo=memo,
            version=memo.version,
            reason="So.",
            reversed_on=MEMO_DAY,
            person=who.abel,
            at=AT,
        )

    return book.supplier, call


def on_short(act, *before, person="abel", limit=100_000, **more):
    """Return what does this act on a short-paid credit, after these decisions."""

    def ready(who):
        book, memo = _memo(who, is_posted=True)
        Location.objects.filter(pk=who.riverside.pk).update(write_off_limit_cents=limit)
        key = ShortCredit.objects.get(memo_line__memo=memo).pk
        for first in before:
            first(**_short(key), decided=_said(book, 0))
        row = _short(key)

        def call(number):
            said = _said(book, number)
            by = getattr(who, person)
            said = type(said)(said.on, said.posting_key, by, said.at, said.reason)
            return act(**row, decided=said, **more)

        return book.supplier, call

    return ready


def _short(key):
    row = ShortCredit.objects.select_related("location", "supplier").get(pk=key)
    return {"short": row, "version": row.version}


def on_held(act, *, is_match=False):
    """Return what does this act on a credit that is not ours."""

    def ready(who):
        book, memo = _memo(who, is_posted=True)
        row = SuspenseLine.objects.select_related("location", "supplier").get(
            memo_line__memo=memo
        )
        more = {"deposit": book.deposits[2]} if is_match else {}

        def call(number):
            said = _said(book, number)
            return act(line=row, version=row.version, decided=said, **more)

        return book.supplier, call

    return ready


def lost(who):
    book = _book(who)
    shipped(book)
    line = ReturnLine.objects.get(crate=book.crates[0])

    def call(_number):
        return lose_crate(
            line=line,
            version=line.version,
            lost_on=MEMO_DAY,
            reason="Not found.",
            person=who.abel,
            at=AT,
        )

    return book.supplier, call


def found_again(who):
    supplier, lose = lost(who)
    lose(0)
    line = ReturnLine.objects.get(crate__shipment__supplier=supplier)

    def call(_number):
        return reverse_loss(
            line=line,
            version=line.version,
            reason="Found.",
            reversed_on=MEMO_DAY,
            person=who.abel,
            at=AT,
        )

    return supplier, call


# -- the carrier's side


def _claims(who):
    """File two claims of one carrier, 600.00 each, booked when filed."""
    carrier = make_carrier()
    return carrier, [
        filed_claim(who, basis=basis, carrier=carrier) for basis in ("filing", "")
    ]


def on_claim(act, *before, is_agreed=False):
    """Return what does this act on a claim, after payments of these amounts."""

    def ready(who):
        carrier, (claim, _other) = _claims(who)
        for cents in before:
            pay(claim, cents, step(who, claim))
        if is_agreed:
            do(who, claim, "offer")
        said, row = step(who, claim), Claim.objects.get(pk=claim.pk)
        return carrier, lambda _number: act(row, said)

    return ready


def pay(claim, cents, said):
    received = payments.Received(cents, "check", "Check 9")
    return payments.record_payment(claim=claim, received=received, step=said)


def _last(claim):
    return ClaimPayment.objects.select_related("claim").filter(claim=claim).latest("pk")


def undo_pay(claim, said):
    return payments.reverse_payment(payment=_first(claim), step=said)


def close_by_pay(claim, said):
    return payments.decide_payment(payment=_first(claim), choice="full", step=said)


def _first(claim):
    rows = ClaimPayment.objects.select_related("claim").filter(claim=claim)
    return rows.order_by("pk")[0]


def _payer(who, carrier):
    payers = payers_at([who.riverside])
    return next(one for one in payers if one.partner.pk == carrier.pk)


def _remit(who, carrier, *, in_full=False):
    payer = _payer(who, carrier)
    parts = [
        remittances.Against(one.claim, 20_000, one.claim.version)
        for one in payer.claims
    ]
    said = step(who, payer.claims[0].claim, reason="They rounded up.")
    received = payments.Received(
        40_000 if in_full else 50_000, "check", "Check 7", in_full=in_full
    )
    return lambda _number: remittances.record_remittance(
        payer=payer, received=received, parts=parts, step=said
    )


def remitted(who):
    carrier, _claims_of = _claims(who)
    return carrier, _remit(who, carrier)


def on_remittance(act, *, in_full=False):
    """Return what does this act on a remittance of two claims."""

    def ready(who):
        carrier, claims = _claims(who)
        row = _remit(who, carrier, in_full=in_full)(0)
        row = Remittance.objects.get(pk=row.pk)
        return carrier, act(who, row, claims)

    return ready


def rest_matched(who, row, claims):
    claim = Claim.objects.get(pk=claims[0].pk)
    parts = [remittances.Against(claim, 7_000, claim.version)]
    said = step(who, row)
    return lambda _number: remittances.match_rest(
        remittance=row, parts=parts, step=said
    )


def part_reversed(who, row, claims):
    payment = row.parts.select_related("claim", "remittance").get(claim=claims[1])
    said = step(who, payment.claim)
    return lambda _number: remittances.reverse_part(payment=payment, step=said)


def whole_reversed(who, row, _claims_of):
    said = step(who, row)
    return lambda _number: remittances.reverse_remittance(remittance=row, step=said)


def whole_decided(who, row, _claims_of):
    said = step(who, row)
    return lambda _number: remittances.decide_remittance(
        remittance=row, choice="full", step=said
    )


def claims_opened(who):
    """Bring the older claims of a location of its own into the books."""
    claim = older_claim(who)
    carrier = claim.shipment.carrier
    place = make_location(f"X{next(_key)}")
    Claim.objects.filter(pk=claim.pk).update(location=place)

    def call(_number):
        return open_claims_in_books(
            location=place,
            on=TODAY,
            person=User.objects.get(pk=who.abel.pk),
            at=AT + timedelta(days=1),
        )

    return carrier, call


ACTS = [
    MoneyAct("deposits charged", charged),
    MoneyAct("deposits brought in", opened),
    MoneyAct("a charge withdrawn", on_deposit(withdraw_deposit, effective_on=MEMO_DAY)),
    MoneyAct("a deposit forfeited", on_deposit(forfeit_deposit, forfeited_on=MEMO_DAY)),
    MoneyAct("an entry reversed", reversed_alone),
    MoneyAct("a memo posted", posted),
    MoneyAct("a memo reversed", memo_reversed),
    MoneyAct("a loss accepted", on_short(shorts.accept_short)),
    MoneyAct("a credit disputed", on_short(shorts.dispute_short)),
    MoneyAct("a credit paid in part", on_short(shorts.win_short, cents=1_200)),
    MoneyAct("a credit written off", on_short(shorts.give_up_short)),
    MoneyAct(
        "a write-off approved",
        on_short(shorts.agree_give_up, shorts.give_up_short, person="mina", limit=100),
    ),
    MoneyAct("a decision undone", on_short(undo_decision, shorts.dispute_short)),
    MoneyAct("a held credit returned", on_held(return_credit)),
    MoneyAct("a held credit taken", on_held(take_by_reason)),
    MoneyAct("a held credit matched", on_held(match_credit, is_match=True)),
    MoneyAct("a crate lost", lost),
    MoneyAct("a loss reversed", found_again),
    MoneyAct("a payment", on_claim(lambda claim, said: pay(claim, 45_000, said))),
    MoneyAct("a payment reversed", on_claim(undo_pay, 45_000)),
    MoneyAct("a payment that settles", on_claim(close_by_pay, 45_000)),
    MoneyAct(
        "a settlement",
        on_claim(lambda claim, said: endings.settle_claim(claim=claim, step=said), 100),
    ),
    MoneyAct(
        "a claim not pursued",
        on_claim(lambda claim, said: endings.give_up(claim=claim, step=said)),
    ),
    MoneyAct(
        "an agreement",
        on_claim(
            lambda claim, said: accept_offer(claim=claim, cents=30_000, step=said),
            is_agreed=True,
        ),
    ),
    MoneyAct("a remittance", remitted),
    MoneyAct("the rest of a remittance", on_remittance(rest_matched)),
    MoneyAct("a part reversed", on_remittance(part_reversed)),
    MoneyAct("a remittance reversed", on_remittance(whole_reversed)),
    MoneyAct("a remittance decided", on_remittance(whole_decided, in_full=True)),
    MoneyAct("claims brought in", claims_opened),
]

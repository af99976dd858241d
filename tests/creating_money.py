"""The forms of deposits, books and credit memos that create a row or move money."""

from types import SimpleNamespace

from django.urls import reverse

from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import dispute_short, give_up_short
from inventory.forms.deposits.deposits import (
    ChargeForm,
    ForfeitForm,
    OpeningForm,
    ReverseForm,
    UndoForm,
    WithdrawForm,
)
from inventory.forms.ledger.books import AccountNumbersForm, LockForm
from inventory.forms.ledger.rates import RateForm
from inventory.forms.memos.memos import AddLineForm, EnterMemoForm, TakeImportForm
from inventory.forms.memos.short_credits import (
    DecideShortForm,
    StateBalanceForm,
    WinShortForm,
)
from inventory.forms.memos.suspense import AnswerForm, MatchHeldForm
from inventory.models import (
    AccountNumber,
    BalanceAssertion,
    CreditMemo,
    Deposit,
    Entry,
    ExchangeRate,
    MemoLine,
    PeriodLock,
    ShortCredit,
    SuspenseLine,
)
from inventory.rules.deposits import postings
from inventory.rules.memos.matching import Line
from tests.creating import Creating
from tests.ledger import AT, charge, make_book, post
from tests.returning import MEMO_DAY, decided, make_stage, memo_of, shipped

LINE = {
    "invoice_number": "INV 88",
    "line_number": "1",
    "invoiced_on": "2026-03-10",
    "count": "1",
    "amount_cents": "120.00",
}
REASON = {"effective_on": "2026-03-20", "reason": "The supplier took it off."}
DECISION = {"decided_on": "2026-05-01", "reason": "Our check lists it."}
HEAD = {"dated_on": "2026-04-20", "received_on": "2026-04-22"}
NO_LIMIT = 100_000


def stage_of(who):
    """Make three crates that were shipped back, with a credit expected on each."""
    who.riverside.write_off_limit_cents = NO_LIMIT
    who.riverside.save()
    book = make_stage(who=who)
    shipped(book)
    return book


def line_of_invoice(name):
    def prepare(who):
        book = make_book(who)
        return reverse(name), {
            "location": book.location.pk,
            "supplier": book.supplier.pk,
            "crate_type": book.crate_type.pk,
        }

    return prepare


def charged(name):
    def prepare(who):
        deposit = charge(make_book(who))
        more = {"version": deposit.version} if name == "withdraw_deposit" else {}
        return reverse(name, args=[deposit.pk]), more

    return prepare


def forfeited(who):
    book = make_book(who)
    entry = post(book, "forfeiture", postings.forfeited(charge(book).pk, 12_000))
    return reverse("reverse_entry", args=[entry.pk])


def period(who):
    return reverse("lock_period"), {"location": who.riverside.pk}


def rate(who):
    return reverse("enter_rate"), {"location": who.riverside.pk}


def accounts(who):
    row = AccountNumber.objects.create(
        location=who.riverside, kind="return-freight", number="6100"
    )
    return f"{reverse('account_numbers')}?place={who.riverside.pk}", {
        "version_return-freight": row.version
    }


def memo(who):
    book = stage_of(who)
    return reverse("enter_memo"), {
        "supplier": book.supplier.pk,
        "lines-0-mark": book.crates[0].mark,
    }


def previewed(who):
    book = stage_of(who)
    head = {
        "supplier": book.supplier,
        "number": "CM 78",
        "dated_on": MEMO_DAY,
        "received_on": MEMO_DAY,
    }
    lines = [Line(1, 12_000, book.crates[0].mark)]
    form = TakeImportForm.showing(who.riverside, head, lines)
    return reverse("import_memo"), {"signed": form.initial["signed"]}


def memo_line(who):
    book = stage_of(who)
    row = memo_of(book, (book.crates[0], 12_000))
    return reverse("add_memo_line", args=[row.pk]), {"mark": book.crates[1].mark}


def short(name, *, asked=False):
    def prepare(who):
        book = stage_of(who)
        paid = [(crate, 12_000) for crate in book.crates[1:]]
        row = memo_of(book, (book.crates[0], 9_000, "bracket missing"), *paid)
        post_memo(memo=row, version=row.version, person=who.abel, at=AT)
        made = ShortCredit.objects.get(memo_line__memo=row)
        if asked:
            ask_above_the_limit(who, book, made)
        return reverse(name, args=[made.pk]), {"version": made.version}

    return prepare


def ask_above_the_limit(who, book, made):
    who.riverside.write_off_limit_cents = 100
    who.riverside.save()
    row = ShortCredit.objects.select_related("location", "supplier").get(pk=made.pk)
    give_up_short(short=row, version=row.version, decided=decided(book))
    who.riverside.write_off_limit_cents = NO_LIMIT
    who.riverside.save()
    made.refresh_from_db()


def held(name):
    """Prepare a credit that is not ours, held in suspense."""

    def prepare(who):
        book = stage_of(who)
        row = memo_of(book, ("ZZ-77", 1_000))
        post_memo(memo=row, version=row.version, person=who.abel, at=AT)
        made = SuspenseLine.objects.get(memo_line__memo=row)
        crate = {"deposit": book.deposits[0].pk} if name == "match_suspense" else {}
        return reverse(name, args=[made.pk]), {"version": made.version, **crate}

    return prepare


def posted_memo(who):
    book = stage_of(who)
    row = memo_of(book, (book.crates[0], 12_000))
    post_memo(memo=row, version=row.version, person=who.abel, at=AT)
    row.refresh_from_db()
    return reverse("reverse_memo", args=[row.pk]), {"version": row.version}


def _said(who):
    return decided(SimpleNamespace(who=who))


def decided_short(who):
    """Dispute a short-paid credit; return the page on which that is undone."""
    short("undo_short")(who)
    made = ShortCredit.objects.select_related("location", "supplier").latest("pk")
    row = dispute_short(short=made, version=made.version, decided=_said(who))
    return reverse("undo_short", args=[row.pk]), {"version": row.version}


def ending(name, title, *, sender="abel", form=DecideShortForm, **more):
    return Creating(
        name=title,
        form=form,
        sender=sender,
        prepare=held(name),
        data=DECISION | more,
        other=("reason", "Another reason."),
        needed="decided_on",
        counts=Entry,
    )


def statement(who):
    return reverse("state_balance", args=[stage_of(who).supplier.pk])


def decision(name, title, *, sender="abel", form=DecideShortForm, asked=False, **more):
    return Creating(
        name=title,
        form=form,
        sender=sender,
        prepare=short(name, asked=asked),
        data=DECISION | more,
        other=("reason", "Another reason."),
        needed="decided_on",
        counts=Entry,
    )


MONEY = [
    Creating(
        name="deposits charged",
        form=ChargeForm,
        sender="abel",
        prepare=line_of_invoice("charge_deposits"),
        data=LINE,
        other=("amount_cents", "130.00"),
        needed="invoice_number",
        counts=Deposit,
    ),
    Creating(
        name="opening balances",
        form=OpeningForm,
        sender="abel",
        prepare=line_of_invoice("bring_in_openings"),
        data=LINE | {"opened_on": "2026-03-31", "invoice_number": "INV 7"},
        other=("amount_cents", "130.00"),
        needed="invoice_number",
        counts=Deposit,
    ),
    Creating(
        name="a charge withdrawn",
        form=WithdrawForm,
        sender="abel",
        prepare=charged("withdraw_deposit"),
        data=REASON,
        other=("reason", "Another reason."),
        needed="reason",
        counts=Entry,
    ),
    Creating(
        name="a deposit forfeited",
        form=ForfeitForm,
        sender="abel",
        prepare=charged("forfeit_deposit"),
        data=REASON,
        other=("reason", "Another reason."),
        needed="reason",
        counts=Entry,
    ),
    Creating(
        name="an entry reversed",
        form=ReverseForm,
        sender="abel",
        prepare=forfeited,
        data=REASON,
        other=("reason", "Another reason."),
        needed="reason",
        counts=Entry,
    ),
    Creating(
        name="books locked",
        form=LockForm,
        sender="abel",
        prepare=period,
        data={"through": "2026-01-31"},
        other=("through", "2026-02-28"),
        needed="location",
        counts=PeriodLock,
    ),
    Creating(
        name="an exchange rate",
        form=RateForm,
        sender="abel",
        prepare=rate,
        data={
            "currency": "CAD",
            "rate": "0.7315",
            "rated_on": "2026-02-27",
            "source": "The central bank's list",
        },
        other=("rate", "0.7320"),
        needed="source",
        counts=ExchangeRate,
    ),
    Creating(
        name="account numbers",
        form=AccountNumbersForm,
        sender="abel",
        prepare=accounts,
        data={
            "number_supplier-account": "2150",
            "name_supplier-account": "Harrow",
            "number_return-freight": "6100",
        },
        other=("number_supplier-account", "2160"),
        needed="number_return-freight",
        counts=AccountNumber,
    ),
    Creating(
        name="a memo",
        form=EnterMemoForm,
        sender="abel",
        prepare=memo,
        data=HEAD
        | {
            "number": "CM 77",
            "lines-TOTAL_FORMS": "8",
            "lines-INITIAL_FORMS": "0",
            "lines-0-amount": "120.00",
        },
        other=("lines-0-amount", "90.00"),
        needed="number",
        counts=CreditMemo,
    ),
    Creating(
        name="a memo from a file",
        form=TakeImportForm,
        sender="abel",
        prepare=previewed,
        data={},
        other=("signed", "another preview"),
        needed="signed",
        counts=CreditMemo,
    ),
    Creating(
        name="a memo line",
        form=AddLineForm,
        sender="abel",
        prepare=memo_line,
        data={"amount": "120.00"},
        other=("amount", "90.00"),
        needed="amount",
        counts=MemoLine,
    ),
    decision("accept_short", "a loss accepted"),
    decision("dispute_short", "a credit disputed"),
    decision("win_short", "a credit paid", form=WinShortForm, amount="30.00"),
    decision("ask_write_off", "a credit written off"),
    decision("approve_write_off", "a write-off approved", sender="mina", asked=True),
    Creating(
        name="a decision undone",
        form=UndoForm,
        sender="abel",
        prepare=decided_short,
        data=REASON | {"effective_on": "2026-05-01"},
        other=("reason", "Another reason."),
        needed="reason",
        counts=Entry,
    ),
    Creating(
        name="a memo reversed",
        form=UndoForm,
        sender="abel",
        prepare=posted_memo,
        data=REASON | {"effective_on": "2026-05-01"},
        other=("reason", "Another reason."),
        needed="reason",
        counts=Entry,
    ),
    ending("match_suspense", "a held credit matched", form=MatchHeldForm),
    ending("return_suspense", "a held credit returned"),
    ending(
        "take_suspense",
        "a held credit taken by the answer",
        form=AnswerForm,
        answered_on="2026-04-28",
        answered_by="J. Hale, email",
    ),
    ending("take_suspense_by_reason", "a held credit taken by a reason", sender="mina"),
    Creating(
        name="a statement",
        form=StateBalanceForm,
        sender="abel",
        prepare=statement,
        data={"as_of": "2026-05-03", "stated": "150.00", "note": "Page 2"},
        other=("stated", "149.00"),
        needed="as_of",
        counts=BalanceAssertion,
    ),
]

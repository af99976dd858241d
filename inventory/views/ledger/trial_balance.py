"""The trial balance of a span of days, and the account behind each row."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.forms.core.asking import SpanForm
from inventory.forms.ledger.books import AccountForm
from inventory.queries.ledger import trial_balance as books
from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file
from inventory.views.ledger.asking import answer, asked_of, books_seen, given

ON_ONE_PAGE = 100
USUAL = "deposits-receivable"
"""The account that is shown where none is asked for."""


@require_safe
def trial_balance(request: HttpRequest) -> HttpResponse:
    """Show opening, movements and closing of every account, by currency."""
    seen = books_seen(request)
    form = SpanForm(given(request), places=seen.places, initial=seen.this_month)
    asked = asked_of(form, seen)
    days = asked.first, asked.last
    rows = [] if form.errors else books.trial_balance(asked.places, *days)
    file = asked_as_file(
        request, lambda: books.trial_sheet(rows), stem="trial-balance", today=seen.today
    )
    if file and not form.errors:
        return file
    context = {
        "form": form,
        "groups": [
            (total, [row for row in rows if row.currency == total.currency])
            for total in books.totals_of(rows)
        ],
        "many_places": len(seen.places) > 1,
        "first": asked.first,
        "last": asked.last,
        "crumbs": [("Deposits", reverse("deposits")), ("Trial balance", "")],
    }
    return answer(request, "inventory/ledger/trial_balance.html", context)


@require_safe
def account(request: HttpRequest) -> HttpResponse:
    """Show the lines of one kind of account in a span of days."""
    seen = books_seen(request)
    kind, currency = USUAL, seen.places[0].currency
    form = AccountForm(
        given(request),
        places=seen.places,
        currencies=books.currencies_at(seen.places),
        initial=seen.this_month | {"kind": kind, "currency": currency},
    )
    asked = asked_of(form, seen)
    if form.is_bound and form.is_valid():
        kind, currency = form.cleaned_data["kind"], form.cleaned_data["currency"]
    span = books.account_span(asked.places, kind, currency, (asked.first, asked.last))
    file = asked_as_file(
        request,
        lambda: books.account_sheet(span, currency),
        stem=kind,
        today=seen.today,
    )
    if file and not form.errors:
        return file
    context = {
        "form": form,
        "span": span,
        "page": page_of(request, span.lines, ON_ONE_PAGE),
        "currency": currency,
        "first": asked.first,
        "last": asked.last,
        "name": ACCOUNTS[kind],
        "account_class": ACCOUNT_CLASSES[kind],
        "crumbs": [
            ("Deposits", reverse("deposits")),
            ("Trial balance", reverse("trial_balance")),
            (ACCOUNTS[kind], ""),
        ],
    }
    return answer(request, "inventory/ledger/account.html", context)

"""Accounting's desk: the money that lapses, what stands, and what does not match."""

from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.addresses import MONTH_END, address_at
from inventory.errands import errands_of
from inventory.forms.core.asking import DayForm
from inventory.forms.core.day_fields import check_window, read_day
from inventory.models import Location, Supplier
from inventory.queries.deposits.aging import ageing_in
from inventory.queries.deposits.facts import currency_of
from inventory.queries.deposits.lapsing import due_first, lapsing_deposits
from inventory.queries.deposits.open_book import OpenBook
from inventory.queries.deposits.unmatched import (
    charged_though_refused,
    charged_without_crate,
    crates_without_charge,
)
from inventory.queries.ledger.rates import rates_at
from inventory.queries.ledger.supplier_balances import (
    balance_sheet,
    supplier_balances,
    totals_of,
)
from inventory.queries.memos.listing import short_rows, suspense_rows
from inventory.queries.memos.sheets import lapsing_sheet
from inventory.queries.memos.statement_reasons import (
    compare_all,
    latest_stated,
)
from inventory.queries.memos.supplier_statement import Span, statement_of
from inventory.queries.people.partners import one_supplier
from inventory.rules.reckoning.money import MoneyError, check_currency
from inventory.rules.reckoning.months import EARLIEST
from inventory.views.core.clock import today_at
from inventory.views.core.sheets import asked_as_file

ACT = "see-deposits"
MOST_SHOWN = 12


@require_safe
def deposits(request: HttpRequest) -> HttpResponse:
    """Show what lapses first, then what stands with each supplier."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = list(locations_of(person, ACT))
    todays = {place.pk: today_at(place) for place in places}
    file = asked_as_file(
        request,
        lambda: lapsing_sheet(lapsing_deposits(places, todays)),
        stem="deposits",
        today=max(todays.values()),
    )
    if file:
        return file
    balances = supplier_balances(places)
    homes = {place.currency for place in places}
    book = OpenBook(places)
    due = due_first(book, todays, MOST_SHOWN)
    context = {
        "errands": errands_of(person, max(todays.values())),
        "ageing": ageing_in(book, todays, homes),
        "without_crate": charged_without_crate(book.loose())[:MOST_SHOWN],
        "without_charge": crates_without_charge(book, places, min(todays.values()))[
            :MOST_SHOWN
        ],
        "though_refused": charged_though_refused(book)[:MOST_SHOWN],
        "shorts": short_rows(person)[:MOST_SHOWN],
        "held": suspense_rows(person)[:MOST_SHOWN],
        "disagreeing": [
            one
            for one in compare_all(latest_stated(person))
            if not one.comparison.agrees
        ],
        "lapsing": due.rows,
        "lapsing_count": due.count,
        "late_count": due.late_count,
        "at_stake": sorted(due.at_stake.items()),
        "balances": balances,
        "totals": totals_of(
            balances,
            rates_at(places, max(todays.values())),
            homes,
        ),
        "many_places": len(places) > 1,
        "month_end": address_at(MONTH_END),
        "may_post": locations_of(person, "post-deposits").exists(),
        "may_plan": locations_of(person, "plan-returns").exists(),
    }
    return render(request, "inventory/deposits/deposits.html", context)


@require_safe
def balances(request: HttpRequest) -> HttpResponse:
    """Show the balances at the end of any day."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = list(locations_of(person, ACT))
    today = max(today_at(place) for place in places)
    suppliers = list(Supplier.objects.order_by("name", "pk"))
    asked = request.GET if "on" in request.GET else None
    form = DayForm(
        asked,
        places=places,
        suppliers=suppliers,
        latest=today,
        initial={"on": today},
    )
    day, chosen, supplier = today, places, None
    if asked and form.is_valid():
        day = form.cleaned_data["on"]
        place: Location | None = form.cleaned_data["place"]
        chosen = [place] if place else places
        supplier = form.cleaned_data["supplier"]
    rows = [] if form.errors else supplier_balances(chosen, day)
    if supplier is not None:
        rows = [row for row in rows if row.supplier_id == supplier.pk]
    file = asked_as_file(
        request, lambda: balance_sheet(rows), stem="balances", today=today
    )
    if file and not form.errors:
        return file
    context = {
        "form": form,
        "rows": rows,
        "totals": totals_of(
            rows, rates_at(chosen, day), {place.currency for place in chosen}
        ),
        "day": day,
        "crumbs": [("Deposits", reverse("deposits")), ("Balances", "")],
    }
    status = 422 if form.errors else 200
    return render(request, "inventory/deposits/balances.html", context, status=status)


@require_safe
def supplier_statement(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    """Answer our statement of one supplier's deposits as a PDF.

    It covers the year up to ``?last=``, or up to today, in ``?currency=``, or in that
    of the supplier's terms.
    """
    from inventory.documents.papers.statements import statement_pdf  # noqa: PLC0415 - slow to import

    person = person_of(request)
    location = obtain(Location.objects.all(), person, place, ACT)
    supplier = one_supplier(pk)
    today = today_at(location)
    try:
        last = _last_day(request, today)
    except ValidationError as error:
        messages.error(request, f"{' '.join(error.messages)} No statement was made.")
        return redirect("balances")
    span = Span(
        first=date(last.year, 1, 1),
        last=last,
        currency=_currency(request) or currency_of(location, supplier, last),
    )
    answer = HttpResponse(
        statement_pdf(statement_of(location, supplier, span), made_on=today),
        content_type="application/pdf",
    )
    name = f"crate-deposits-{supplier.pk}-{span.currency}-{last}.pdf"
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer


def _currency(request: HttpRequest) -> str:
    """Return the currency asked for, or nothing. Raise ValidationError for no code."""
    asked = request.GET.get("currency", "")
    try:
        return check_currency(asked) if asked else ""
    except MoneyError as error:
        raise ValidationError(str(error)) from error


def _last_day(request: HttpRequest, today: date) -> date:
    """Return the day asked for, no later than today. Raise ValidationError for none."""
    asked = request.GET.get("last", "")
    last = min(read_day(asked), today) if asked else today
    check_window(last, earliest=EARLIEST, latest=today, too_late="")
    return last

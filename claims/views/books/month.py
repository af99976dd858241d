"""Accounting's month of claims: the roll-forward, the open claims, what is behind."""

from dataclasses import dataclass
from datetime import date

from django.core.paginator import Page
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.queries.books.entries import Asked, postings_behind
from claims.queries.books.month import month_of, month_sheet, open_claims_sheet
from claims.queries.books.opening import ready_claims
from claims.queries.books.rollforward import CurrencyBooks, OpenClaim, books_of
from claims.rules.books.rollforward import LINES
from inventory.access import locations_of, person_of, require_somewhere
from inventory.models import Location, User
from inventory.queries.core.joined import joined_number
from inventory.rules.reckoning.months import CalendarMonth
from inventory.views.core.clock import today_at
from inventory.views.core.months import AskedMonth, month_asked
from inventory.views.core.paging import PAGE_SIZE, page_of
from inventory.views.core.sheets import asked_as_file

ACT = "see-deposits"
KEEP = "post-deposits"


@dataclass(frozen=True)
class Span:
    """The month that the address asks for, at one location or all of the person's."""

    asked: AskedMonth
    today: date
    place: Location | None
    places: QuerySet[Location]

    @property
    def first(self) -> date:
        """Return the first day of the month."""
        return self.asked.month.first

    @property
    def last(self) -> date:
        """Return the last day of the month."""
        return self.asked.month.last

    @property
    def after(self) -> CalendarMonth | None:
        """Return the month after, None where it has not begun."""
        following = self.asked.month.after
        return following if following.first <= self.today else None

    @property
    def place_key(self) -> int | None:
        """Return the key of the one location that is shown, None for all."""
        return self.place.pk if self.place else None

    @property
    def chosen(self) -> QuerySet[Location]:
        """Return the locations that the page is about."""
        return self.places.filter(pk=self.place.pk) if self.place else self.places


def span_of(request: HttpRequest, person: User) -> Span:
    """Return the month and place of the address. Raise Http404 for another place."""
    require_somewhere(person, ACT)
    places = locations_of(person, ACT)
    today = max(today_at(place) for place in places)
    asked = month_asked(request, CalendarMonth.of(today))
    key = request.GET.get("place", "")
    place = next((one for one in places if str(one.pk) == key), None)
    if key and place is None:
        raise Http404
    return Span(asked, today, place, places)


@require_safe
def month(request: HttpRequest) -> HttpResponse:
    """Show a month: what was open, what came and went, what is open."""
    person = person_of(request)
    span = span_of(request, person)
    books = books_of(list(span.chosen), span.first, span.last)
    of_list = request.GET.get("list") == "open"
    file = asked_as_file(
        request,
        lambda: (
            open_claims_sheet([one for own in books for one in own.claims], span.last)
            if of_list
            else month_sheet(books, span.first, span.last)
        ),
        stem="open-claims" if of_list else "claims-roll-forward",
        today=span.last,
    )
    if file and not span.asked.problem:
        return file
    context = {
        "span": span,
        "months": [(month_of(one), _page_of_open(request, one)) for one in books],
        "waiting": len(ready_claims(span.chosen)),
        "may_post": locations_of(person, KEEP).exists(),
    }
    return render(request, "claims/books/month.html", context, status=span.asked.status)


def _page_of_open(request: HttpRequest, books: CurrencyBooks) -> Page[OpenClaim]:
    """Return a page of the open claims: those that differ from the ledger come first."""
    rows = sorted(books.claims, key=lambda one: one.listed_cents == one.book_cents)
    return page_of(request, rows, PAGE_SIZE, name=f"open-{books.currency}")


@require_safe
def entries(request: HttpRequest) -> HttpResponse:
    """Show the entries behind one figure of a month."""
    person = person_of(request)
    span = span_of(request, person)
    asked = Asked(
        first=span.first,
        last=span.last,
        line=request.GET.get("line", ""),
        partner=request.GET.get("partner", ""),
    )
    rows = list(postings_behind(span.chosen, asked))
    sums: dict[str, int] = {}
    for row in rows:
        currency = row.entry.currency
        sums[currency] = sums.get(currency, 0) + joined_number(row, "cents")
    context = {
        "span": span,
        "title": LINES.get(asked.line, "All entries"),
        "page": page_of(request, rows),
        "sums": sorted(sums.items()),
        "crumbs": [("Books", reverse("books")), ("Entries", "")],
    }
    return render(
        request, "claims/books/entries.html", context, status=span.asked.status
    )

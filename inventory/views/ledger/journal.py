"""The journal: what was posted in a span of days, for the dealer's own books."""

from collections.abc import Iterable
from uuid import UUID

from django.contrib import messages
from django.http import (
    HttpRequest,
    HttpResponseBase,
    StreamingHttpResponse,
)
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.documents.core.plain_books_file import plain_books
from inventory.documents.core.sheet_files import csv_pieces
from inventory.forms.ledger.books import JournalForm
from inventory.queries.ledger import journal as books
from inventory.queries.ledger import journal_files as files
from inventory.rules.reckoning.calendars import in_words
from inventory.views.core.sheets import asked_as_file
from inventory.views.ledger.asking import answer, asked_of, books_seen, given

MOST_IN_WORKBOOK = 50_000
TOO_LONG = (
    f"A workbook holds {MOST_IN_WORKBOOK:,} lines of the journal, and these days have "
    "more. No file was made. Download the CSV, or ask for fewer days."
)
NO_ENTRY = (
    "The address begins from an entry that is not in these days. The first entries are "
    "shown instead."
)


@require_safe
def journal(request: HttpRequest) -> HttpResponseBase:
    """Show the entries of a span of days, debits against credits, or give them as a file."""
    seen = books_seen(request)
    form = JournalForm(given(request), places=seen.places, initial=seen.this_month)
    asked = asked_of(form, seen)
    period = books.Period(asked.places, asked.first, asked.last)
    if not form.errors:
        file = _file(request, period)
        if file:
            return file
    page = None if form.errors else _page(request, period)
    context = {
        "form": form,
        "page": page,
        "first": asked.first,
        "last": asked.last,
        "crumbs": [("Deposits", reverse("deposits")), ("Journal", "")],
    }
    return answer(request, "inventory/ledger/journal.html", context)


def _page(request: HttpRequest, period: books.Period) -> books.JournalPage | None:
    """Return the page of entries that the address asks for, else the first."""
    asked = {name: request.GET.get(name, "") for name in ("after", "before")}
    if not any(asked.values()):
        return books.journal_page(period)
    keys = {name: _key(text) for name, text in asked.items() if text}
    page = books.journal_page(period, **keys) if all(keys.values()) else None
    if page is None:
        messages.error(request, NO_ENTRY)
        return books.journal_page(period)
    return page


def _key(text: str) -> UUID | None:
    try:
        return UUID(text) if len(text) == 36 else None
    except ValueError:
        return None


def _file(request: HttpRequest, period: books.Period) -> HttpResponseBase | None:
    """Answer the whole period as the file that was asked for, None for the page."""
    form = request.GET.get("as")
    stem = f"journal-{period.first}"
    if form == "csv":
        rows = files.lines_in(books.read_journal(period))
        pieces = csv_pieces(files.COLUMNS, rows, currency_of=files.currency_of)
        return _sent(pieces, "text/csv", f"{stem}-{period.last}.csv")
    if form == "beancount":
        return _sent(_plain(period), "text/plain", f"{stem}-{period.last}.beancount")
    if (
        form == "xlsx"
        and books.count_lines(period, MOST_IN_WORKBOOK) > MOST_IN_WORKBOOK
    ):
        messages.error(request, TOO_LONG)
        query = request.GET.copy()
        del query["as"]
        return redirect(f"{reverse('journal')}?{query.urlencode()}")
    return asked_as_file(
        request,
        lambda: files.journal_sheet(books.read_journal(period)),
        stem=stem,
        today=period.last,
    )


def _plain(period: books.Period) -> Iterable[bytes]:
    names = ", ".join(place.name for place in period.places)
    days = f"{in_words(period.first)} to {in_words(period.last)}"
    remarks = (
        "The entries of these days, in beancount's language. Amounts of two currencies",
        "are never added. What the accounts held before these days is not in it.",
    )
    return plain_books(
        f"Journal of {names}, {days}",
        period.first,
        remarks,
        files.transactions_of(books.read_journal(period)),
    )


def _sent(pieces: Iterable[bytes], media_type: str, name: str) -> HttpResponseBase:
    """Send a file piece by piece, so that a long one is never held whole."""
    sent = StreamingHttpResponse(pieces, content_type=f"{media_type}; charset=utf-8")
    sent["Content-Disposition"] = f'attachment; filename="{name}"'
    sent["Cache-Control"] = "no-store"
    return sent

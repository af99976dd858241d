"""The list of credits for crates shipped back before these books began."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import person_of, require_somewhere
from inventory.queries.deposits.earlier_credits import (
    earlier_credits,
    earlier_rows,
    earlier_sheet,
)
from inventory.queries.memos.listing import overdue_words
from inventory.views.core.clock import today_at, today_somewhere
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file


@require_safe
def earlier(request: HttpRequest) -> HttpResponse:
    """List these credits with what is still open on each."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    rows = earlier_rows(person)
    file = asked_as_file(
        request,
        lambda: earlier_sheet(rows),
        stem="earlier-credits",
        today=today_somewhere(person),
    )
    if file:
        return file
    page = page_of(request, rows)
    credits_shown = [
        (one, overdue_words(one.due_on, today_at(one.row.location)))
        for one in earlier_credits(page.object_list)
    ]
    context = {
        "page": page,
        "credits": credits_shown,
        "crumbs": [
            ("Deposits", reverse("deposits")),
            ("Credits from earlier books", ""),
        ],
    }
    return render(request, "inventory/deposits/earlier_credits.html", context)

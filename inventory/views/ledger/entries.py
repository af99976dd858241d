"""One entry of the ledger with its legs, and undoing it."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import may, obtain, person_of
from inventory.actions.ledger.reversals import reverse_alone, why_not_reverse
from inventory.forms.deposits.deposits import ReverseForm
from inventory.models import AccountNumber
from inventory.queries.core.history import story_of
from inventory.queries.deposits.listing import entries, legs_of
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted


@require_safe
def entry(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show an entry with its legs and what it reverses."""
    person = person_of(request)
    row = obtain(entries(), person, pk, "see-deposits")
    numbers = AccountNumber.objects.filter(location=row.location)
    kept = dict(numbers.values_list("kind", "number"))
    legs = list(legs_of(row))
    context = {
        "entry": row,
        "legs": [(leg, kept.get(leg.account.kind, "")) for leg in legs],
        "total": sum(leg.cents for leg in legs if leg.cents > 0),
        "against": why_not_reverse(row),
        "may_post": may(person, row.location_id, "post-deposits"),
        "story": story_of([row], row.location, leave_out=()),
        "crumbs": [("Deposits", reverse("deposits")), (str(row), "")],
    }
    return render(request, "inventory/ledger/entry.html", context)


@require_http_methods(["GET", "POST"])
def reverse_one(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Undo an entry by a reversal."""
    person = person_of(request)
    row = obtain(entries(), person, pk, "post-deposits")
    form = ReverseForm(posted(request), today=today_at(row.location))

    def act() -> HttpResponse:
        undoing = reverse_alone(entry=row, person=person, at=now(), **form.cleaned_data)
        messages.success(request, "The entry is reversed.")
        return redirect("entry", undoing.pk)

    back = reverse("entry", args=[row.pk])
    page = ActPage(
        title="Reverse the entry",
        back=back,
        back_words="Back to the entry",
        kicker=str(row),
        lead=why_not_reverse(row)
        or "The same legs with the other sign. Nothing is ever changed or erased.",
        crumbs=[
            ("Deposits", reverse("deposits")),
            (str(row), back),
            ("Reverse", ""),
        ],
    )
    return answer_act(request, form, page, act)

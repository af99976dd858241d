"""One entry of the ledger with its lines, and its reversal."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer, posting_key
from inventory.actions.ledger.reversals import reverse_alone, why_not_reverse
from inventory.forms.deposits.deposits import ReverseForm
from inventory.models import AccountNumber, Entry
from inventory.queries.core.history import story_of
from inventory.queries.deposits.listing import entries, legs_of
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at


@require_safe
def entry(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show an entry with its lines and what it reverses."""
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


class ReverseEntry(ActView[Entry, ReverseForm]):
    """Reverse an entry."""

    permission = "post-deposits"
    form_class = ReverseForm
    title = "Reverse the entry"
    lead = (
        "The reversal posts the same lines with the other sign. The entry itself never "
        "changes."
    )
    back_words = "Back to the entry"

    def get_queryset(self) -> QuerySet[Entry]:
        return entries()

    def get_back(self) -> str:
        return reverse("entry", args=[self.row.pk])

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        return why_not_reverse(self.row)

    def get_crumbs(self) -> Crumbs:
        return [("Deposits", reverse("deposits")), (str(self.row), self.get_back())]

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row.location)}

    def act(self, form: ReverseForm) -> Answer:
        undoing = reverse_alone(
            entry=self.row,
            posting_key=posting_key(form.once_id, self.person),
            person=self.person,
            at=now(),
            **form.cleaned_data,
        )
        page = reverse("entry", args=[undoing.pk])
        return self.done("Entry reversed.", row=undoing, page=page)

"""A supplier's statement compared with our books, and what explains a difference."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory.access import (
    locations_of,
    may,
    person_of,
    require,
    require_somewhere,
)
from inventory.actions.core.once import Answer
from inventory.actions.memos.statements import state_balance
from inventory.forms.memos.short_credits import StateBalanceForm
from inventory.models import Location, User
from inventory.queries.deposits.facts import currency_of
from inventory.queries.memos.sheets import stated_sheet
from inventory.queries.memos.statement_reasons import (
    assertions_of,
    compare_all,
    compare_stated,
    latest_of,
    latest_stated,
    suppliers_on_deposit,
)
from inventory.queries.people.partners import one_supplier
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at, today_somewhere
from inventory.views.core.sheets import asked_as_file

MOST_SHOWN = 25


@require_safe
def statements(request: HttpRequest) -> HttpResponse:
    """List the last statement of each supplier, those that disagree first."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    found = compare_all(latest_stated(person))
    found.sort(key=lambda one: (one.comparison.agrees, -one.assertion.pk))
    file = asked_as_file(
        request,
        lambda: stated_sheet(found),
        stem="statements",
        today=today_somewhere(person),
    )
    if file:
        return file
    context = {
        "stated": found,
        "suppliers": suppliers_on_deposit(person),
        "disagree": sum(1 for one in found if not one.comparison.agrees),
        "crumbs": [("Credit memos", reverse("memos")), ("Statements", "")],
    }
    return render(request, "inventory/memos/statements.html", context)


class StateBalance(ActView[Location, StateBalanceForm]):
    """Compare a supplier's statement with our books, and enter a new one."""

    permission = "see-deposits"
    form_class = StateBalanceForm
    template_name = "inventory/memos/state_balance.html"
    back_words = "All statements"

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        self.supplier = one_supplier(self.kwargs["pk"])
        location, self.others = _place(self.request, self.person)
        if self.request.method == "POST":
            require(self.person, location.pk, "post-deposits")
        return location

    def get_back(self) -> str:
        return reverse("statements")

    def get_title(self) -> str:
        return f"Statement of {self.supplier}"

    def get_kicker(self) -> str:
        return self.row.name

    def get_crumbs(self) -> Crumbs:
        return [("Statements", reverse("statements"))]

    @cached_property
    def today(self) -> date:
        """Return today at the location."""
        return today_at(self.row)

    @cached_property
    def currency(self) -> str:
        """Return the currency of the supplier's deposits here."""
        return currency_of(self.row, self.supplier, self.today)

    def get_form_kwargs(self) -> dict[str, Any]:
        options = {"today": self.today, "currency": self.currency}
        return super().get_form_kwargs() | options

    def get_context_data(self, **more: object) -> dict[str, Any]:
        rows = [
            row
            for row in assertions_of(self.person, self.supplier)
            if row.location_id == self.row.pk
        ]
        return super().get_context_data(
            supplier=self.supplier,
            others=self.others,
            latest=[compare_stated(row) for row in latest_of(rows)],
            earlier=rows[:MOST_SHOWN],
            may_post=may(self.person, self.row.pk, "post-deposits"),
            **more,
        )

    def act(self, form: StateBalanceForm) -> Answer:
        row = state_balance(
            location=self.row,
            supplier=self.supplier,
            as_of=form.cleaned_data["as_of"],
            stated_cents=form.cleaned_data["stated"],
            currency=self.currency,
            note=form.cleaned_data["note"],
            person=self.person,
            at=now(),
            today=self.today,
        )
        page = self.request.get_full_path()
        return self.done(f"Statement of {self.supplier} saved.", row=row, page=page)


def _place(request: HttpRequest, person: User) -> tuple[Location, list[Location]]:
    places = list(locations_of(person, "see-deposits"))
    asked = request.GET.get("location", "")
    chosen = next((row for row in places if str(row.pk) == asked), places[0])
    return chosen, [row for row in places if row.pk != chosen.pk]

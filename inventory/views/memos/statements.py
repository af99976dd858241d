"""A supplier's statement held against our books, and the rows that explain it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import (
    locations_of,
    may,
    person_of,
    require,
    require_somewhere,
)
from inventory.actions.memos.statements import state_balance as keep_statement
from inventory.forms.memos.short_credits import StateBalanceForm
from inventory.models import Location, User
from inventory.queries.deposits.facts import currency_of
from inventory.queries.memos.sheets import stated_sheet
from inventory.queries.memos.statement_reasons import (
    assertions_of,
    compare_all,
    compare_stated,
    latest_of,
    suppliers_on_deposit,
)
from inventory.queries.people.partners import one_supplier
from inventory.views.core.clock import now, today_at, today_somewhere
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.sheets import asked_as_file

MOST_SHOWN = 25


@require_safe
def statements(request: HttpRequest) -> HttpResponse:
    """List each supplier's last statement, those that disagree first."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    found = compare_all(latest_of(assertions_of(person)))
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


@require_http_methods(["GET", "POST"])
def state_balance(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter what a supplier's statement says, and see what explains the difference."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    supplier = one_supplier(pk)
    location, others = _place(request, person)
    if request.method == "POST":
        require(person, location.pk, "post-deposits")
    today = today_at(location)
    currency = currency_of(location, supplier, today)
    form = StateBalanceForm(posted(request), today=today, currency=currency)

    def act() -> HttpResponse:
        keep_statement(
            location=location,
            supplier=supplier,
            as_of=form.cleaned_data["as_of"],
            stated_cents=form.cleaned_data["stated"],
            currency=currency,
            note=form.cleaned_data["note"],
            person=person,
            at=now(),
            today=today,
        )
        messages.success(request, f"The statement of {supplier} is kept.")
        return redirect(request.get_full_path())

    rows = [
        row for row in assertions_of(person, supplier) if row.location_id == location.pk
    ]
    page = ActPage(
        title=f"Statement of {supplier}",
        kicker=location.name,
        back=reverse("statements"),
        back_words="All statements",
        template="inventory/memos/state_balance.html",
        crumbs=[("Statements", reverse("statements")), (supplier.name, "")],
        more={
            "supplier": supplier,
            "others": others,
            "latest": [compare_stated(row) for row in latest_of(rows)],
            "earlier": rows[:MOST_SHOWN],
            "may_post": may(person, location.pk, "post-deposits"),
        },
    )
    return answer_act(request, form, page, act)


def _place(request: HttpRequest, person: User) -> tuple[Location, list[Location]]:
    places = list(locations_of(person, "see-deposits"))
    asked = request.GET.get("location", "")
    chosen = next((row for row in places if str(row.pk) == asked), places[0])
    return chosen, [row for row in places if row.pk != chosen.pk]

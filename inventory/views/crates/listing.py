"""The crates of a location, due first at the top."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import locations_of, person_of, require_somewhere
from inventory.models import Supplier, User
from inventory.queries.crates.sheets import crate_sheet
from inventory.queries.crates.yard import (
    FILTERS,
    HERE,
    crates_in,
    keys_in_order,
    lapsing_first,
    page_rows,
    rows_of,
    suppliers_with_crates,
)
from inventory.views.core.clock import today_at
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file


@require_safe
def crates(request: HttpRequest) -> HttpResponse:
    """List the crates here, or those a state and a supplier narrow it to."""
    person = person_of(request)
    require_somewhere(person, "see")
    places = list(locations_of(person))
    todays = {place.pk: today_at(place) for place in places}
    which = request.GET.get("which", "here")
    which = which if which in FILTERS else "here"
    supplier = _supplier(request, person)
    rows = crates_in(person, which, supplier)
    money = set(locations_of(person, "see-deposits").values_list("pk", flat=True))
    file = asked_as_file(
        request,
        lambda: crate_sheet(lapsing_first(rows_of(rows, todays)), money=money),
        stem="crates",
        today=max(todays.values()),
    )
    if file:
        return file
    if which in HERE:
        page = page_of(request, keys_in_order(rows, todays))
        page.object_list = page_rows(rows, list(page.object_list), todays)
    else:
        page = page_of(request, rows)
        page.object_list = rows_of(page.object_list, todays)
    context = {
        "page": page,
        "which": which,
        "which_words": FILTERS[which],
        "filters": FILTERS,
        "supplier": supplier,
        "suppliers": suppliers_with_crates(person),
        "many_places": len(places) > 1,
        "may_see_money": bool(money),
        "money_places": money,
        "may_keep_terms": locations_of(person, "keep-terms").exists(),
        "all_suppliers": Supplier.objects.order_by("name", "pk"),
    }
    return render(request, "inventory/crates/crates.html", context)


def _supplier(request: HttpRequest, person: User) -> Supplier | None:
    """Return the supplier asked for; any other text narrows nothing."""
    key = request.GET.get("supplier", "")
    if not (key.isascii() and key.isdigit() and len(key) < 10):
        return None
    return suppliers_with_crates(person).filter(pk=int(key)).first()

"""Carriers and suppliers: who they are and the periods they hold us to."""

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import person_of, require_somewhere
from inventory.actions.people import partners
from inventory.forms.people.partners import (
    CARRIER_DUTIES,
    CarrierForm,
    EditCarrierForm,
    EditSupplierForm,
    SupplierForm,
)
from inventory.models import Carrier, CarrierTerm, Supplier, SupplierPeriod
from inventory.queries.people.partners import (
    carrier_rows,
    one_carrier,
    one_supplier,
    supplier_rows,
)
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted


@require_safe
def carriers(request: HttpRequest) -> HttpResponse:
    """List the carriers."""
    require_somewhere(person_of(request), "keep-partners")
    context = {"carriers": carrier_rows(), "duties": CARRIER_DUTIES}
    return render(request, "inventory/people/carriers.html", context)


@require_http_methods(["GET", "POST"])
def add_carrier(request: HttpRequest) -> HttpResponse:
    """Add a carrier."""
    person = person_of(request)
    require_somewhere(person, "keep-partners")
    form = CarrierForm(posted(request), initial={"mode": "motor", "mail_days": 5})

    def act() -> HttpResponse:
        carrier = partners.add_carrier(
            person=person, at=now(), periods=form.periods(), **form.own_fields()
        )
        messages.success(request, f"{carrier} is kept.")
        return redirect("carriers")

    return answer_act(request, form, _page("Add a carrier", reverse("carriers")), act)


@require_http_methods(["GET", "POST"])
def edit_carrier(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a carrier and its own periods."""
    person = person_of(request)
    require_somewhere(person, "keep-partners")
    carrier = one_carrier(pk)
    initial = _carrier_initial(carrier)
    form = EditCarrierForm(posted(request), initial=initial)

    def act() -> HttpResponse:
        partners.change_carrier(
            person=person,
            at=now(),
            carrier=carrier,
            version=form.cleaned_data["version"],
            periods=form.periods(),
            **form.own_fields(),
        )
        messages.success(request, f"{carrier} is changed.")
        return redirect("carriers")

    page = _page(f"Change {initial['name']}", reverse("carriers"), row=carrier)
    return answer_act(request, form, page, act)


@require_safe
def suppliers(request: HttpRequest) -> HttpResponse:
    """List the suppliers."""
    require_somewhere(person_of(request), "keep-partners")
    context = {"suppliers": supplier_rows()}
    return render(request, "inventory/people/suppliers.html", context)


@require_http_methods(["GET", "POST"])
def add_supplier(request: HttpRequest) -> HttpResponse:
    """Add a supplier."""
    person = person_of(request)
    require_somewhere(person, "keep-partners")
    form = SupplierForm(posted(request), initial={"standing_order": "none"})

    def act() -> HttpResponse:
        supplier = partners.add_supplier(
            person=person, at=now(), periods=form.periods(), **form.own_fields()
        )
        messages.success(request, f"{supplier} is kept.")
        return redirect("suppliers")

    return answer_act(request, form, _page("Add a supplier", reverse("suppliers")), act)


@require_http_methods(["GET", "POST"])
def edit_supplier(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a supplier and its own periods."""
    person = person_of(request)
    require_somewhere(person, "keep-partners")
    supplier = one_supplier(pk)
    initial = _supplier_initial(supplier)
    form = EditSupplierForm(posted(request), initial=initial)

    def act() -> HttpResponse:
        partners.change_supplier(
            person=person,
            at=now(),
            supplier=supplier,
            version=form.cleaned_data["version"],
            periods=form.periods(),
            **form.own_fields(),
        )
        messages.success(request, f"{supplier} is changed.")
        return redirect("suppliers")

    page = _page(f"Change {initial['name']}", reverse("suppliers"), row=supplier)
    return answer_act(request, form, page, act)


def _page(title: str, back: str, row: Carrier | Supplier | None = None) -> ActPage:
    return ActPage(title=title, back=back, back_words="Back without saving", row=row)


def _carrier_initial(carrier: Carrier) -> dict[str, Any]:
    names = ["version", "name", "mode", "scac", "claims_address", "claims_email"]
    initial = {n: getattr(carrier, n) for n in [*names, "claims_phone", "mail_days"]}
    return initial | _periods((t.duty, t) for t in carrier.terms.all())


def _supplier_initial(supplier: Supplier) -> dict[str, Any]:
    names = ["version", "name", "address", "claims_contact", "claims_email"]
    more = ["returns_email", "files_when_prepaid", "standing_order"]
    last = ["needs_return_authorization", "crate_terms"]
    initial = {n: getattr(supplier, n) for n in [*names, *more, *last]}
    return initial | _periods((p.kind, p) for p in supplier.periods.all())


def _periods(
    rows: Iterable[tuple[str, CarrierTerm | SupplierPeriod]],
) -> dict[str, Any]:
    initial: dict[str, Any] = {}
    for name, row in rows:
        initial[f"{name}_count"] = row.count
        initial[f"{name}_unit"] = row.unit
        initial[f"{name}_starts"] = row.starts
        initial[f"{name}_source"] = row.source if isinstance(row, CarrierTerm) else ""
    return initial

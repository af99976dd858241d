"""Listing crates and machines of a freight bill, and correcting their lines."""

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import obtain, person_of
from inventory.actions.receiving.crates import change_crate, list_crates
from inventory.actions.receiving.units import change_unit, list_unit
from inventory.forms.receiving.papers import CrateForm, EditUnitForm, UnitForm
from inventory.forms.receiving.trucks import CratesForm
from inventory.models import Crate, Shipment, Unit
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted


@require_http_methods(["GET", "POST"])
def add_crates(request: HttpRequest, pk: int) -> HttpResponse:
    """List more crates that a truck brought."""
    person = person_of(request)
    row = obtain(Shipment.objects.select_related("location"), person, pk, "look")
    trucks = row.deliveries.select_related("carrier").order_by("-arrived_at", "-pk")
    last = trucks.first()
    form = CratesForm(
        posted(request),
        deliveries=trucks,
        initial={"delivery": last.pk if last else None, "kind": "one-way"},
    )

    def act() -> HttpResponse:
        crates = list_crates(person=person, at=now(), shipment=row, **form.cleaned_data)
        messages.success(request, f"{len(crates)} listed on {row}.")
        return redirect("shipment", row.pk)

    return answer_act(request, form, _page(row, "List crates"), act)


@require_http_methods(["GET", "POST"])
def edit_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a crate's mark, kind and deposit."""
    person = person_of(request)
    row = obtain(
        Crate.objects.select_related("shipment__location"),
        person,
        pk,
        "complete-papers",
    )
    names = ("version", "mark", "kind", "deposit_cents")
    form = CrateForm(
        posted(request),
        initial={name: getattr(row, name) for name in names},
        currency=row.shipment.currency,
    )

    def act() -> HttpResponse:
        change_crate(person=person, at=now(), crate=row, **form.cleaned_data)
        messages.success(request, f"Crate {row.number} is saved.")
        return redirect("shipment", row.shipment_id)

    page = _page(row.shipment, f"Crate {row.number}", row=row)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def add_unit(request: HttpRequest, pk: int) -> HttpResponse:
    """List a machine of the freight bill."""
    person = person_of(request)
    row = obtain(
        Shipment.objects.select_related("location"), person, pk, "complete-papers"
    )
    form = UnitForm(posted(request), shipment=row, initial={"weight_unit": "lb"})

    def act() -> HttpResponse:
        unit = list_unit(person=person, at=now(), shipment=row, **form.machine())
        messages.success(request, f"{unit} is listed.")
        return redirect("shipment", row.pk)

    return answer_act(request, form, _page(row, "List a machine"), act)


@require_http_methods(["GET", "POST"])
def edit_unit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a machine's line."""
    person = person_of(request)
    row = obtain(
        Unit.objects.select_related("shipment__location"), person, pk, "complete-papers"
    )
    names = ("version", "model", "serial", "crate", "invoice_cents")
    initial = {name: getattr(row, name) for name in (*names, "weight", "weight_unit")}
    form = EditUnitForm(posted(request), shipment=row.shipment, initial=initial)

    def act() -> HttpResponse:
        change_unit(
            person=person,
            at=now(),
            unit=row,
            version=form.cleaned_data["version"],
            **form.machine(),
        )
        messages.success(request, f"{row} is saved.")
        return redirect("unit", row.pk)

    return answer_act(request, form, _page(row.shipment, str(row), row=row), act)


def _page(shipment: Shipment, title: str, row: Model | None = None) -> ActPage:
    back = reverse("shipment", args=[shipment.pk])
    return ActPage(
        title=title,
        back=back,
        back_words=f"Back to {shipment}",
        row=row,
        crumbs=[("Dock", reverse("dock")), (str(shipment), back), (title, "")],
    )

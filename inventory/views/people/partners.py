"""Carriers and suppliers: who they are, and the periods in their own terms."""

from collections.abc import Iterable
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import locations_of, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.people import partners
from inventory.forms.people.partners import (
    CARRIER_DUTIES,
    CarrierForm,
    EditCarrierForm,
    EditSupplierForm,
    SupplierForm,
)
from inventory.models import Carrier, CarrierTerm, Supplier, SupplierPeriod
from inventory.queries.core.history import changes_of
from inventory.queries.people.partners import (
    carrier_rows,
    one_carrier,
    one_supplier,
    supplier_rows,
)
from inventory.views.core.clock import now
from inventory.views.core.row_view import Row
from inventory.views.people.listed_act import Form, ListedAct


@require_safe
def carriers(request: HttpRequest) -> HttpResponse:
    """List the carriers."""
    require_somewhere(person_of(request), "keep-partners")
    context = {"carriers": carrier_rows(), "duties": CARRIER_DUTIES}
    return render(request, "inventory/people/carriers.html", context)


@require_safe
def suppliers(request: HttpRequest) -> HttpResponse:
    """List the suppliers."""
    require_somewhere(person_of(request), "keep-partners")
    context = {"suppliers": supplier_rows()}
    return render(request, "inventory/people/suppliers.html", context)


class PartnerAct(ListedAct[Row, Form]):
    """What the pages of carriers and suppliers have in common."""

    permission = "keep-partners"
    template_name = "inventory/people/partner.html"

    def get_context_data(self, **more: object) -> dict[str, Any]:
        row = self.row
        changes = changes_of(row, self._zone()) if isinstance(row, Model) else []
        return super().get_context_data(changes=changes, **more)

    def _zone(self) -> ZoneInfo:
        place = locations_of(self.person, self.permission).first()
        return place.zone if place else ZoneInfo("UTC")

    def check(self) -> None:
        require_somewhere(self.person, self.permission)


class AddCarrier(PartnerAct[None, CarrierForm]):
    """Add a carrier."""

    form_class = CarrierForm
    title = "Add a carrier"
    above = ("Carriers", "carriers")

    def find_row(self) -> None:
        return None

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"mode": "motor", "mail_days": 5}

    def act(self, form: CarrierForm) -> Answer:
        row = partners.add_carrier(
            person=self.person, at=now(), periods=form.periods(), **form.own_fields()
        )
        return self.done(f"{row} added.", row=row)


class EditCarrier(PartnerAct[Carrier, EditCarrierForm]):
    """Change a carrier and its own periods."""

    form_class = EditCarrierForm
    above = ("Carriers", "carriers")

    def find_row(self) -> Carrier:
        row = one_carrier(self.kwargs["pk"])
        self.title = f"Change {row.name}"
        return row

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | _carrier_initial(self.row)

    def act(self, form: EditCarrierForm) -> Answer:
        partners.change_carrier(
            person=self.person,
            at=now(),
            carrier=self.row,
            version=form.cleaned_data["version"],
            periods=form.periods(),
            **form.own_fields(),
        )
        return self.done(f"{self.row} changed.")


class AddSupplier(PartnerAct[None, SupplierForm]):
    """Add a supplier."""

    form_class = SupplierForm
    title = "Add a supplier"
    above = ("Suppliers", "suppliers")

    def find_row(self) -> None:
        return None

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"standing_order": "none"}

    def act(self, form: SupplierForm) -> Answer:
        row = partners.add_supplier(
            person=self.person, at=now(), periods=form.periods(), **form.own_fields()
        )
        return self.done(f"{row} added.", row=row)


class EditSupplier(PartnerAct[Supplier, EditSupplierForm]):
    """Change a supplier and its own periods."""

    form_class = EditSupplierForm
    above = ("Suppliers", "suppliers")

    def find_row(self) -> Supplier:
        row = one_supplier(self.kwargs["pk"])
        self.title = f"Change {row.name}"
        return row

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | _supplier_initial(self.row)

    def act(self, form: EditSupplierForm) -> Answer:
        partners.change_supplier(
            person=self.person,
            at=now(),
            supplier=self.row,
            version=form.cleaned_data["version"],
            periods=form.periods(),
            **form.own_fields(),
        )
        return self.done(f"{self.row} changed.")


def _carrier_initial(carrier: Carrier) -> dict[str, Any]:
    names = ["name", "legal_name", "mode", "usdot_number", "scac"]
    names += ["claims_address", "claims_email"]
    more = ["claims_phone", "terminal_email", "terminal_phone", "mail_days"]
    initial = {n: getattr(carrier, n) for n in [*names, *more]}
    return initial | _periods((t.duty, t) for t in carrier.terms.all())


def _supplier_initial(supplier: Supplier) -> dict[str, Any]:
    names = ["name", "address", "claims_contact", "claims_email"]
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

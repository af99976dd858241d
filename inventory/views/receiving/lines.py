"""Listing crates and machines of a freight bill, and correcting their lines."""

from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.utils.functional import cached_property

from inventory.actions.core.once import Answer
from inventory.actions.receiving.crates import change_crate
from inventory.actions.receiving.listed_crates import list_crates
from inventory.actions.receiving.units import change_unit, list_unit
from inventory.addresses import DOCK, address_at, address_of
from inventory.forms.core.base import HouseForm
from inventory.forms.receiving.bills import CratesForm
from inventory.forms.receiving.papers import CrateForm, EditUnitForm, UnitForm
from inventory.models import Crate, Delivery, Shipment, Unit
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, truck_name

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)


class _LineAct(ActView[Row, Form]):
    """An act on the lines of one freight bill."""

    permission = "complete-papers"

    def get_shipment(self) -> Shipment:
        """Return the freight bill that the page's row is, or belongs to."""
        raise NotImplementedError

    def get_back(self) -> str:
        return address_of(self.get_shipment())

    def get_back_words(self) -> str:
        return f"Back to {self.get_shipment()}"

    def get_crumbs(self) -> Crumbs:
        bill = str(self.get_shipment())
        return [("Dock", address_at(DOCK)), (bill, self.get_back())]


class _OneBill(_LineAct[Shipment, Form]):
    """An act on the freight bill of the address."""

    def get_queryset(self) -> QuerySet[Shipment]:
        return Shipment.objects.select_related("location")

    def get_shipment(self) -> Shipment:
        return self.row


class AddCrates(_OneBill[CratesForm]):
    """List more crates that a truck brought."""

    permission = "look"
    form_class = CratesForm
    title = "List crates"

    @cached_property
    def trucks(self) -> QuerySet[Delivery]:
        """Return the trucks that brought this bill, the last one first."""
        trucks = Delivery.bringing(self.row).select_related("carrier", "location")
        return trucks.order_by("-arrived_at", "-pk")

    def get_initial(self) -> dict[str, Any]:
        last = self.trucks.first()
        chosen = {"delivery": last.pk if last else None, "kind": "one-way"}
        return super().get_initial() | chosen

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "deliveries": self.trucks,
            "name_of": truck_name,
        }

    def act(self, form: CratesForm) -> Answer:
        crates = list_crates(
            person=self.person, at=now(), shipment=self.row, **form.cleaned_data
        )
        return self.done(
            f"Listed {pieces_in_words(len(crates), 'crate')} on {self.row}."
        )


class EditCrate(_LineAct[Crate, CrateForm]):
    """Correct a crate's mark, kind and deposit."""

    form_class = CrateForm

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.objects.select_related("shipment__location")

    def get_shipment(self) -> Shipment:
        return self.row.shipment

    def get_title(self) -> str:
        return f"Crate {self.row.number}"

    def get_initial(self) -> dict[str, Any]:
        names = ("mark", "kind", "deposit_cents")
        return super().get_initial() | {name: getattr(self.row, name) for name in names}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.shipment.currency}

    def act(self, form: CrateForm) -> Answer:
        change_crate(person=self.person, at=now(), crate=self.row, **form.cleaned_data)
        return self.done(f"Crate {self.row.number} saved.")


class AddUnit(_OneBill[UnitForm]):
    """List a machine of the freight bill."""

    form_class = UnitForm
    title = "List a machine"
    initial = {"weight_unit": "lb"}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"shipment": self.row}

    def act(self, form: UnitForm) -> Answer:
        unit = list_unit(
            person=self.person, at=now(), shipment=self.row, **form.machine()
        )
        return self.done(f"{unit} listed.", row=unit)


_SHOWN = (
    *("model", "serial", "engine_serial", "crate"),
    *("invoice_cents", "weight", "weight_unit"),
)
"""What the form of a machine shows of its row."""


class EditUnit(_LineAct[Unit, EditUnitForm]):
    """Correct a machine's line."""

    form_class = EditUnitForm

    def get_queryset(self) -> QuerySet[Unit]:
        return Unit.objects.select_related("shipment__location")

    def get_shipment(self) -> Shipment:
        return self.row.shipment

    def get_title(self) -> str:
        return str(self.row)

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            name: getattr(self.row, name) for name in _SHOWN
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"shipment": self.row.shipment}

    def act(self, form: EditUnitForm) -> Answer:
        change_unit(
            person=self.person,
            at=now(),
            unit=self.row,
            version=form.cleaned_data["version"],
            **form.machine(),
        )
        return self.done(f"{self.row} saved.", page=address_of(self.row))

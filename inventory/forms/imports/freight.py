"""Rows of freight: machines with their serials, on bills that are recorded."""

from collections.abc import Mapping
from datetime import date
from functools import cached_property
from typing import Any

from inventory.forms.core.base import HouseForm
from inventory.forms.imports.readers import Key, ListReader, plain
from inventory.forms.receiving.papers import UnitForm
from inventory.models import Location, Shipment, Unit
from inventory.rules.codes.normal_keys import normal_key
from inventory.rules.imports import kinds


class _MachineRow(UnitForm):
    """One row of a list of machines; its crate and its price are for the bill's page."""

    creates = False

    def __init__(self, *args: Any, shipment: Shipment) -> None:
        super().__init__(*args, shipment=shipment)
        self.bill = shipment


class MachineReader(ListReader):
    """Tries a list of machines."""

    kind = kinds.MACHINES
    row_form = _MachineRow
    usual = {"weight_unit": "lb"}

    def __init__(self, *, location: Location | None, today: date) -> None:
        super().__init__(location=location, today=today)
        if location is None:
            raise LookupError("A list of machines is read for one location.")

    @cached_property
    def bills(self) -> dict[tuple[str, str], Shipment]:
        """Return the freight bills of the location by carrier and number."""
        rows = Shipment.objects.filter(location=self.location)
        return {
            (plain(row.carrier.name), row.pro_key): row
            for row in rows.select_related("carrier", "location")
        }

    def bill(self, cells: Mapping[str, str]) -> Shipment | None:
        """Return the bill that a row names."""
        return self.bills.get(
            (plain(cells["carrier"]), normal_key(cells["pro_number"]))
        )

    def there(self) -> set[Key]:
        """Return the keys of the rows that are there already."""
        rows = Unit.objects.filter(shipment__location=self.location)
        names = ("shipment__carrier__name", "shipment__pro_key", "serial_key")
        told = rows.exclude(serial="").values_list(*names)
        return {(plain(carrier), pro, serial) for carrier, pro, serial in told}

    def key(self, cells: Mapping[str, str]) -> Key:
        """Return what makes a row the same as another."""
        pro, serial = normal_key(cells["pro_number"]), normal_key(cells["serial"])
        return (plain(cells["carrier"]), pro, serial)

    def against(self, cells: Mapping[str, str]) -> str:
        """Return why no form can be made for a row."""
        if self.bill(cells) is not None:
            return ""
        return (
            f"There is no freight bill {cells['pro_number'][:30]} of "
            f"{cells['carrier'][:40]} here. Record it first."
        )

    def form(self, cells: Mapping[str, str], options: Mapping[str, Any]) -> HouseForm:
        """Return the form of a row, filled in."""
        return super().form(cells, {**options, "shipment": self.bill(cells)})

    def fields(self, form: Any) -> Mapping[str, Any]:
        """Return what the action is given for a valid row."""
        machine: dict[str, Any] = form.machine()
        return machine | {"shipment": form.bill}

"""The reader of each kind of list."""

from datetime import date
from typing import Any

from inventory.forms.imports.freight import MachineReader
from inventory.forms.imports.money import CreditReader, DepositReader
from inventory.forms.imports.office import (
    CarrierReader,
    CrateTypeReader,
    PeopleReader,
    SupplierReader,
)
from inventory.forms.imports.readers import ListReader
from inventory.forms.imports.terms import TermsReader
from inventory.lists_above import readers
from inventory.models import Location

_OWN: tuple[type[ListReader], ...] = (
    CarrierReader,
    SupplierReader,
    PeopleReader,
    MachineReader,
    CrateTypeReader,
    TermsReader,
    DepositReader,
    CreditReader,
)

_READERS = {one.kind.key: one for one in _OWN}


def reader_of(kind: str, *, location: Location | None, today: date) -> ListReader:
    """Return what reads a list of this kind, of either floor."""
    make: Any = _READERS.get(kind) or readers[kind]
    reader: ListReader = make(location=location, today=today)
    return reader

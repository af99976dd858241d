"""The reader of each kind of list."""

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
from inventory.rules.core.registry import Registry

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

READERS: Registry[str, type[ListReader]] = Registry(
    "readers of lists", {one.kind.key: one for one in _OWN}
)

"""One kind of account, as a floor registers it."""

from dataclasses import dataclass

SUPPLIER = "supplier"
CARRIER = "carrier"


@dataclass(frozen=True, slots=True)
class AccountKind:
    """A kind of account: its label, its class, and whose accounts may be of it."""

    label: str
    account_class: str
    partners: frozenset[str] = frozenset({SUPPLIER, CARRIER})

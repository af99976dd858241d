"""What a count of deadlines rests on: the rows it reads, and the rules in force.

Triggers mark a freight bill as to be counted in the act that writes any of these rows, so
that a count of all reads no bill of which nothing has changed.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from inventory.derived_shapes import Follower

COUNTED = "claims_countedbill"

_PARTIES = (
    "carrier",
    "record_carrier",
    "broker",
    "originating_carrier",
    "delivering_carrier",
)


@dataclass(frozen=True)
class Fact:
    """A table that a count reads.

    ``bills`` is SQL that gives the bills concerned, in which ``{row}`` is the row written:
    a query, or the key of one bill. With ``columns`` the count reads these alone, and no
    other change marks a bill.
    """

    bills: str
    columns: tuple[str, ...] = ()
    is_query: bool = True

    def among(self, rows: Iterable[str]) -> str:
        """Return the SQL between the brackets of ``IN`` for these rows."""
        parts = dict.fromkeys(self.bills.format(row=row) for row in rows)
        return (" UNION " if self.is_query else ", ").join(parts)


def _bills(where: str) -> str:
    return f"SELECT b.id FROM inventory_shipment b WHERE {where}"


def _of_carrier(key: str) -> str:
    """Return the bills on which this carrier has any part."""
    on_bill = [_bills(f"b.{one}_id = {key}") for one in _PARTIES]
    written_to = [
        f"SELECT w.shipment_id FROM {table} w WHERE w.addressed_to_id = {key}"
        for table in ("claims_claim", "claims_notice")
    ]
    return " UNION ".join([*on_bill, *written_to])


_OF_BILL = Fact("{row}.shipment_id", is_query=False)
_OF_CLAIM = Fact("SELECT c.shipment_id FROM claims_claim c WHERE c.id = {row}.claim_id")
_OF_CARRIER = Fact(_of_carrier("{row}.carrier_id"))
_OF_RETURNS = "b.crate_return_id IN (SELECT r.id FROM inventory_cratereturn r WHERE r.supplier_id "

FACTS: Mapping[str, Fact] = {
    "inventory_shipment": Fact("{row}.id", is_query=False),
    "inventory_handover": _OF_BILL,
    "inventory_crate": _OF_BILL,
    "inventory_delivery": Fact(
        "SELECT h.shipment_id FROM inventory_handover h WHERE h.delivery_id = {row}.id"
    ),
    "inventory_unit": Fact(
        "SELECT c.shipment_id FROM claims_claimline l "
        "JOIN claims_claim c ON c.id = l.claim_id WHERE l.unit_id = {row}.id",
        ("crate_id",),
    ),
    "inventory_cratereturn": Fact(_bills("b.crate_return_id = {row}.id")),
    "inventory_crateterms": Fact(_bills(f"{_OF_RETURNS}= {{row}}.supplier_id)")),
    "inventory_retiredterms": Fact(
        _bills(
            f"{_OF_RETURNS}IN (SELECT t.supplier_id FROM inventory_crateterms t "
            "WHERE t.id = {row}.terms_id))"
        )
    ),
    "inventory_location": Fact(
        _bills("b.location_id = {row}.id"), ("country", "subdivision")
    ),
    "inventory_carrier": Fact(
        _of_carrier("{row}.id"), ("name", "legal_name", "mode", "mail_days")
    ),
    "inventory_carrierterm": _OF_CARRIER,
    "inventory_carrierbankruptcy": _OF_CARRIER,
    "inventory_supplier": Fact(_bills("b.supplier_id = {row}.id"), ("name",)),
    "inventory_supplierperiod": Fact(_bills("b.supplier_id = {row}.supplier_id")),
    "claims_inspection": _OF_BILL,
    "claims_finding": _OF_BILL,
    "claims_notice": _OF_BILL,
    "claims_claim": _OF_BILL,
    "claims_deadline": _OF_BILL,
    "claims_claimline": _OF_CLAIM,
    "claims_supplement": _OF_CLAIM,
    "claims_toldclaim": _OF_CLAIM,
    "claims_claimpayment": _OF_CLAIM,
    "claims_claimstep": _OF_CLAIM,
}
"""Every table that a count reads, and the running deadlines it is compared with."""


def count_followers() -> Iterator[Follower]:
    """Yield the triggers that mark a bill as to be counted."""
    for table, fact in FACTS.items():
        for act, rows in (
            ("insert", ("NEW",)),
            ("update", ("NEW", "OLD")),
            ("delete", ("OLD",)),
        ):
            name = f"count_{table}_{act}"
            watched = fact.columns if act == "update" else ()
            mark = _mark(fact.among(rows))
            yield Follower(name, table, act, (mark,), watched, writes=COUNTED)


def fill_counted(connection: BaseDatabaseWrapper, *, step: int = 50_000) -> None:
    """Mark every bill that has no note as to be counted, some a transaction."""
    while True:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            cursor.execute(
                f"INSERT INTO {COUNTED} (shipment_id, rules, changes) "
                "SELECT s.id, '', 0 FROM inventory_shipment s WHERE s.id > "
                f"COALESCE((SELECT MAX(c.shipment_id) FROM {COUNTED} c), 0) "
                "ORDER BY s.id LIMIT %s",
                [step],
            )
            if cursor.rowcount < step:
                return


def _mark(bills: str) -> str:
    return (
        f"INSERT INTO {COUNTED} (shipment_id, rules, changes) "
        f"SELECT s.id, '', 1 FROM inventory_shipment s WHERE s.id IN ({bills}) "
        "ON CONFLICT (shipment_id) DO UPDATE "
        f"SET rules = '', changes = {COUNTED}.changes + 1;"
    )


_TOP = Path(__file__).parent.parent
SOURCES = (
    "claims/actions/core",
    "claims/models",
    "claims/queries",
    "claims/rules",
    "inventory/models",
    "inventory/queries",
    "inventory/rules",
)
"""The folders of all that a count runs through."""


@cache
def rules_in_force() -> str:
    """Return the name of the rules of this program: other sources, another name."""
    digest = hashlib.sha256(version("holidays").encode())
    for folder in SOURCES:
        for path in sorted(_TOP.glob(f"{folder}/**/*.py")):
            digest.update(b"\0%b\0" % str(path.relative_to(_TOP)).encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]

"""Giving a crate its identity: its mark, its GS1 keys, its supplier's code."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.crates.life import lock_crate
from inventory.models import Crate, Shipment, User
from inventory.rules.codes.identifiers import parse


def mark_crate(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    version: int,
    mark: str,
    grai: str,
    sscc: str,
    supplier_code: str,
) -> Crate:
    """Save the crate's mark and keys; return the updated crate.

    ``grai`` is 14 digits and the serial, ``sscc`` 18 digits, without their AIs; empty
    texts remove a key. Raise RefusedError for a key that is not valid, and
    StaleRowError.
    """
    _check(grai, "8003", "GRAI")
    _check(sscc, "00", "SSCC")
    with transaction.atomic():
        row = lock_crate(crate.pk)
        change_row(
            row,
            version=version,
            mark=mark,
            grai=grai,
            sscc=sscc,
            supplier_code=supplier_code,
        )
        _tell(row, person, at)
        return row


def give_marks(*, person: User, at: datetime, shipment: Shipment) -> list[Crate]:
    """Give each reusable crate of a bill that has no key a mark of our own.

    The mark is the dock's code and a number that no other crate has. Crates tracked by
    count stay without. Raise RefusedError where none is without a key.
    """
    with transaction.atomic():
        bill = Shipment.objects.select_for_update(of=("self",)).get(pk=shipment.pk)
        rows = [lock_crate(pk) for pk in unmarked_of(bill)]
        if not rows:
            raise RefusedError(
                "Every reusable crate of this bill already has a mark, or is "
                "tracked by count. Nothing was changed."
            )
        for row in rows:
            mark = f"{bill.location.code}-{row.pk:05d}"
            change_row(row, version=row.version, mark=mark)
            _tell(row, person, at)
    return rows


def unmarked_of(shipment: Shipment) -> list[int]:
    """Return the keys of the bill's reusable crates that have no identity."""
    rows = (
        shipment.crates.filter(
            kind="reusable", mark="", grai="", sscc="", supplier_code=""
        )
        .exclude(Q(crate_type__kept_by="count") | Q(look="refused"))
        .order_by("number")
    )
    return list(rows.values_list("pk", flat=True))


def _check(value: str, ai: str, name: str) -> None:
    if not value:
        return
    found = parse(f"({ai}){value}")
    problem = found.problem
    if not problem and found.value != value:
        problem = "It cannot be read."
    if not problem and name == "GRAI" and not found.serial:
        problem = "Without a serial it names the type of crate, not this crate."
    if problem:
        raise RefusedError(f"{name}: {problem} Nothing was saved.")


def _tell(row: Crate, person: User, at: datetime) -> None:
    keys = {
        "mark": row.mark,
        "GRAI": parse(f"(8003){row.grai}").element_string if row.grai else "",
        "SSCC": parse(f"(00){row.sscc}").element_string if row.sscc else "",
        "supplier's code": row.supplier_code,
    }
    said = ", ".join(f"{name} {key}" for name, key in keys.items() if key)
    record_event(
        kind="crate.marked",
        at=at,
        actor=person,
        location=row.shipment.location,
        subjects=[row.shipment, row],
        data={
            "number": row.number,
            "mark": said or "nothing",
        },
    )

"""Which crate a deposit belongs to, and which crates never have one."""

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Q

from inventory.actions.core.versions import RefusedError
from inventory.models import Crate, Deposit, Location, Supplier
from inventory.queries.crates.identity import crates_named
from inventory.rules.codes.identifiers import parse
from inventory.rules.crates.words import ON_HAND


def lock_crates(keys: Iterable[int]) -> dict[int, Crate]:
    """Return these crates by key, locked until the commit, in one order for all."""
    rows = Crate.objects.select_for_update(of=("self",))
    joined = rows.select_related("shipment__location", "shipment__supplier")
    return {row.pk: row for row in joined.filter(pk__in=set(keys)).order_by("pk")}


def refuse_crate(crate: Crate, location: Location, supplier: Supplier) -> None:
    """Raise RefusedError with the reason unless the crate may have a deposit."""
    bill = crate.shipment
    if bill.location_id != location.pk:
        raise RefusedError(f"{crate} is not at {location}. Nothing was saved.")
    if bill.supplier_id not in {None, supplier.pk}:
        raise RefusedError(
            f"{crate} is from {bill.supplier}, not from {supplier}. Nothing was "
            "saved. Choose a crate of this supplier."
        )
    if crate.look == "refused":
        raise RefusedError(
            f"{crate} was refused at delivery, so it is not ours and cannot be "
            "charged. Nothing was saved. Ask the supplier to take it off the "
            "invoice."
        )
    if crate.kind != "reusable":
        raise RefusedError(
            f"{crate} is one-way and has no deposit. Nothing was saved. If it is "
            "reusable, mark it so on the crate first."
        )
    held = Deposit.objects.filter(crate=crate, is_withdrawn=False).first()
    if held is not None:
        raise RefusedError(
            f"{crate} already has the deposit on invoice {held.invoice_number}. "
            "Nothing was saved. Choose another crate."
        )


def find_by_mark(location: Location, supplier: Supplier, mark: str) -> Crate | None:
    """Return the one crate here that the mark names and that can be charged, or None.

    The mark may be any form of a GRAI or SSCC; one that names a whole type names no
    crate. A crate in the yard comes before one that has left. Raise RefusedError
    where the only crate with that mark was refused.
    """
    named = parse(mark)
    if named.kind == "grai" and not named.serial:
        return None
    theirs = Q(shipment__supplier=supplier) | Q(shipment__supplier=None)
    live = Deposit.objects.filter(crate=OuterRef("pk"), is_withdrawn=False)
    rows = Crate.objects.filter(
        theirs, ~Exists(live), shipment__location=location, kind="reusable"
    )
    found = crates_named(rows, named)
    able = [crate for crate in found if crate.look != "refused"]
    if found and not able:
        refuse_crate(found[0], location, supplier)
    on_hand = [crate for crate in able if crate.state in ON_HAND]
    few = on_hand or able
    return few[0] if len(few) == 1 else None

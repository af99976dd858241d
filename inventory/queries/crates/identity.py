"""Which crates a text names, which others have the same key, and a label's content."""

from django.db.models import F, Q, QuerySet, Value
from django.db.models.functions import Replace, Upper

from inventory.models import Crate, Shipment
from inventory.queries.core.parts import has_part, nearest_first
from inventory.rules.codes.gs1 import is_digits
from inventory.rules.codes.identifiers import Identifier
from inventory.rules.codes.label_content import CrateLabel, codes_of, label_key
from inventory.rules.codes.normal_keys import normal_key
from inventory.rules.codes.own_marks import loose_key, own_key
from inventory.rules.crates.words import ON_HAND

MOST_NAMED = 50
_LEAST_HEAD = 13
_DASHES = ("-", "_", "\N{EN DASH}", "\N{EM DASH}")


def crates_named(rows: QuerySet[Crate], found: Identifier) -> list[Crate]:
    """Return the crates among ``rows`` that this identifier names, on hand first.

    A GRAI without a serial names a type: then all crates of it. A mark is compared
    without regard to dashes, unless one crate bears it dash for dash.
    """
    if not found.valid:
        return []
    if found.kind in {"own", "giai"}:
        named = _by_marks(rows, found)
    elif found.kind == "grai":
        named = list(_joined(rows.filter(_by_grai(found))))
    else:
        named = list(_joined(rows.filter(sscc=found.key)))
    return sorted(named, key=lambda crate: crate.state not in ON_HAND)


def crates_by_part(rows: QuerySet[Crate], text: str) -> list[Crate]:
    """Return the crates with this text somewhere in their mark, the nearest first."""
    key = normal_key(text)
    found = rows.filter(has_part("mark_key", key))
    joined = found.select_related("shipment__location", "shipment__supplier")
    return list(nearest_first(joined, "mark_key", key)[:MOST_NAMED])


def _by_grai(found: Identifier) -> Q:
    if found.serial:
        return Q(grai=found.value)
    return Q(grai__startswith=found.key) | Q(crate_type__grai=found.key)


def _by_marks(rows: QuerySet[Crate], found: Identifier) -> list[Crate]:
    text = found.element_string or found.key
    wanted = loose_key(text)
    by_key = Q(loose_mark=wanted) | Q(loose_code=wanted)
    if is_digits(found.key) and len(found.key) >= _LEAST_HEAD:
        by_key |= Q(grai__contains=found.key)
    annotated = rows.annotate(
        loose_mark=_loose("mark"), loose_code=_loose("supplier_code")
    )
    near = list(_joined(annotated.filter(by_key)))
    exact = [
        crate
        for crate in near
        if own_key(text) in {own_key(crate.mark), own_key(crate.supplier_code)}
    ]
    return exact or near


def _loose(field: str) -> Replace:
    """Return a mark in the database as ``loose_key`` has it."""
    made = Replace(Upper(F(field)), Value(" "), Value(""))
    for gap in _DASHES:
        made = Replace(made, Value(gap), Value(""))
    return made


def _joined(rows: QuerySet[Crate]) -> QuerySet[Crate]:
    return rows.select_related(
        "shipment__location", "shipment__supplier", "crate_type"
    ).order_by("-pk")[:MOST_NAMED]


def crates_with_same_key(rows: QuerySet[Crate], crate: Crate) -> list[Crate]:
    """Return the other crates on hand among ``rows`` that have one of its keys.

    Marks and codes are each supplier's own, so only that supplier's crates count.
    """
    same = Q(pk=None)
    if crate.grai:
        same |= Q(grai=crate.grai)
    if crate.sscc:
        same |= Q(sscc=crate.sscc)
    own = Q(pk=None)
    if crate.mark:
        own |= Q(mark=crate.mark)
    if crate.supplier_code:
        own |= Q(supplier_code__iexact=crate.supplier_code)
    same |= own & Q(shipment__supplier_id=crate.shipment.supplier_id)
    return list(
        rows.filter(same, state__in=ON_HAND)
        .exclude(pk=crate.pk)
        .select_related("shipment__location")
        .order_by("-pk")[:MOST_NAMED]
    )


def crates_to_label(shipment: Shipment) -> list[tuple[Crate, CrateLabel | None]]:
    """Return the crates of a bill, each with its label; None for one without a key."""
    rows = shipment.crates.select_related(
        "shipment__location", "shipment__supplier", "crate_type"
    ).order_by("number")
    return [(crate, label_of(crate)) for crate in rows]


def label_of(crate: Crate) -> CrateLabel | None:
    """Return the crate's label content, or None where it has no key to print."""
    key = label_key(crate.grai, crate.sscc, [crate.mark, crate.supplier_code])
    if key is None:
        return None
    code, bars, readable = codes_of(key)
    bill = crate.shipment
    return CrateLabel(
        name=crate.mark or crate.supplier_code or f"Crate {crate.number}",
        code=code,
        bars=bars,
        readable=readable,
        kicker="Reusable crate" if crate.kind == "reusable" else "One-way crate",
        supplier=bill.supplier.name if bill.supplier else "",
        crate_type=crate.crate_type.name if crate.crate_type else "",
        bill=f"{bill}, crate {crate.number}",
        return_to=_return_to(crate),
    )


def _return_to(crate: Crate) -> str:
    """Return where a stray reusable crate should go: its supplier, else our dock."""
    if crate.kind != "reusable":
        return ""
    supplier, dock = crate.shipment.supplier, crate.shipment.location
    if supplier and supplier.address:
        return f"{supplier.name}\n{supplier.address}"
    return f"{dock.name}\n{dock.address}"

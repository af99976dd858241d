"""Which crates a text names, which others have the same key, and a label's content."""

from django.db.models import Q, QuerySet

from inventory.access import locations_of
from inventory.models import Crate, CrateType, Shipment, User
from inventory.queries.core.search import find, keys_with_part, rows_numbered
from inventory.queries.core.shared import share
from inventory.rules.codes.gs1 import is_digits
from inventory.rules.codes.identifiers import Identifier
from inventory.rules.codes.label_content import CrateLabel, codes_of, label_key
from inventory.rules.codes.own_marks import loose_key, own_key
from inventory.rules.crates.words import ON_HAND

MOST_NAMED = 50
_LEAST_HEAD = 13


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
        same = rows_numbered("crate", found.key).values("key")
        named = list(_joined(rows.filter(pk__in=same, sscc=found.key)))
    return sorted(named, key=lambda crate: crate.state not in ON_HAND)


def crates_by_part(person: User, text: str) -> list[Crate]:
    """Return the crates with this text somewhere in a number, the nearest first."""
    keys = find(person, text, ["crate"], most=MOST_NAMED)["crate"].keys
    rows = share(
        Crate.objects.filter(pk__in=keys).order_by(),
        *("shipment__location", "shipment__supplier", "crate_type"),
    )
    here = set(locations_of(person).values_list("pk", flat=True))
    by_key = {row.pk: row for row in rows if row.shipment.location_id in here}
    return [by_key[key] for key in keys if key in by_key]


def _by_grai(found: Identifier) -> Q:
    if found.serial:
        same = rows_numbered("crate", found.value).values("key")
        return Q(pk__in=same, grai=found.value)
    begin = rows_numbered("crate", found.key, begins=True).values("key")
    of_type = CrateType.objects.filter(grai=found.key).values("pk")
    return Q(pk__in=begin, grai__startswith=found.key) | Q(crate_type__in=of_type)


def _by_marks(rows: QuerySet[Crate], found: Identifier) -> list[Crate]:
    text = found.element_string or found.key
    wanted = Q(pk__in=rows_numbered("crate", text).values("key"))
    if is_digits(found.key) and len(found.key) >= _LEAST_HEAD:
        parts = keys_with_part("crate", [found.key], most=MOST_NAMED)
        wanted |= Q(pk__in=parts, grai__contains=found.key)
    near = [crate for crate in _joined(rows.filter(wanted)) if _is_near(crate, text)]
    exact = [
        crate
        for crate in near
        if own_key(text) in {own_key(crate.mark), own_key(crate.supplier_code)}
    ]
    return exact or near


def _is_near(crate: Crate, text: str) -> bool:
    """Return whether a mark is the same but for dashes, or the GRAI has it."""
    marks = {loose_key(crate.mark), loose_key(crate.supplier_code)}
    return loose_key(text) in marks or (is_digits(text) and text in crate.grai)


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

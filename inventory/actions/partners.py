"""Keeping carriers and suppliers, with the periods they hold us to."""

from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from inventory.actions.events import record_event
from inventory.actions.versions import RefusedError, change_row
from inventory.models import Carrier, CarrierTerm, Supplier, SupplierPeriod, User

_TAKEN = "There is one of that name already. Nothing was saved; open that one instead."


@dataclass(frozen=True)
class Period:
    """A period as typed: for which duty or kind, how long, from what, by whom said."""

    name: str
    count: int
    unit: str
    starts: str
    source: str = ""


def add_carrier(
    *, person: User, at: datetime, periods: list[Period], **fields: object
) -> Carrier:
    """Add a carrier with its contract or tariff periods."""
    try:
        with transaction.atomic():
            carrier = Carrier(**fields)
            carrier.save(force_insert=True)
            _set_terms(carrier, periods)
            record_event(
                kind="carrier.added",
                at=at,
                actor=person,
                location=None,
                subjects=[carrier],
                data={"name": carrier.name, "after": _carrier_image(carrier, periods)},
            )
            return carrier
    except IntegrityError as error:
        raise RefusedError(_TAKEN) from error


def change_carrier(
    *,
    person: User,
    at: datetime,
    carrier: Carrier,
    version: int,
    periods: list[Period],
    **fields: object,
) -> None:
    """Change a carrier. Raises StaleRowError and RefusedError."""
    with transaction.atomic():
        changed = change_row(carrier, version=version, **fields)
        if _set_terms(carrier, periods):
            changed.append("its own periods")
        record_event(
            kind="carrier.changed",
            at=at,
            actor=person,
            location=None,
            subjects=[carrier],
            data={
                "name": carrier.name,
                "changed": ", ".join(changed).replace("_", " ") or "nothing",
                "after": _carrier_image(carrier, periods),
            },
        )


def add_supplier(
    *, person: User, at: datetime, periods: list[Period], **fields: object
) -> Supplier:
    """Add a supplier with its own periods for telling it of trouble."""
    try:
        with transaction.atomic():
            supplier = Supplier(**fields)
            supplier.save(force_insert=True)
            _set_periods(supplier, periods)
            record_event(
                kind="supplier.added",
                at=at,
                actor=person,
                location=None,
                subjects=[supplier],
                data={
                    "name": supplier.name,
                    "after": _supplier_image(supplier, periods),
                },
            )
            return supplier
    except IntegrityError as error:
        raise RefusedError(_TAKEN) from error


def change_supplier(
    *,
    person: User,
    at: datetime,
    supplier: Supplier,
    version: int,
    periods: list[Period],
    **fields: object,
) -> None:
    """Change a supplier. Raises StaleRowError and RefusedError."""
    with transaction.atomic():
        changed = change_row(supplier, version=version, **fields)
        if _set_periods(supplier, periods):
            changed.append("its own periods")
        record_event(
            kind="supplier.changed",
            at=at,
            actor=person,
            location=None,
            subjects=[supplier],
            data={
                "name": supplier.name,
                "changed": ", ".join(changed).replace("_", " ") or "nothing",
                "after": _supplier_image(supplier, periods),
            },
        )


def _set_terms(carrier: Carrier, periods: list[Period]) -> bool:
    before = {
        (t.duty, t.count, t.unit, t.starts, t.source) for t in carrier.terms.all()
    }
    after = {(p.name, p.count, p.unit, p.starts, p.source) for p in periods}
    if before == after:
        return False
    carrier.terms.all().delete()
    CarrierTerm.objects.bulk_create(
        CarrierTerm(
            carrier=carrier,
            duty=p.name,
            count=p.count,
            unit=p.unit,
            starts=p.starts,
            source=p.source,
        )
        for p in periods
    )
    return True


def _set_periods(supplier: Supplier, periods: list[Period]) -> bool:
    before = {(t.kind, t.count, t.unit, t.starts) for t in supplier.periods.all()}
    after = {(p.name, p.count, p.unit, p.starts) for p in periods}
    if before == after:
        return False
    supplier.periods.all().delete()
    SupplierPeriod.objects.bulk_create(
        SupplierPeriod(
            supplier=supplier, kind=p.name, count=p.count, unit=p.unit, starts=p.starts
        )
        for p in periods
    )
    return True


def _image(periods: list[Period]) -> list[dict[str, object]]:
    return [asdict(period) for period in periods]


def _carrier_image(carrier: Carrier, periods: list[Period]) -> dict[str, object]:
    return {
        "name": carrier.name,
        "scac": carrier.scac,
        "mode": carrier.mode,
        "claims_address": carrier.claims_address,
        "claims_email": carrier.claims_email,
        "claims_phone": carrier.claims_phone,
        "mail_days": carrier.mail_days,
        "version": carrier.version,
        "periods": _image(periods),
    }


def _supplier_image(supplier: Supplier, periods: list[Period]) -> dict[str, object]:
    return {
        "name": supplier.name,
        "address": supplier.address,
        "claims_contact": supplier.claims_contact,
        "claims_email": supplier.claims_email,
        "returns_email": supplier.returns_email,
        "files_when_prepaid": supplier.files_when_prepaid,
        "standing_order": supplier.standing_order,
        "needs_return_authorization": supplier.needs_return_authorization,
        "crate_terms": supplier.crate_terms,
        "version": supplier.version,
        "periods": _image(periods),
    }

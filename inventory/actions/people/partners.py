"""Carriers and suppliers, with the periods of their own terms."""

from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from inventory.actions.core.events import noun_of, record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Carrier, CarrierTerm, Supplier, SupplierPeriod, User
from inventory.rules.core.changes import changed_words

_TAKEN = "That name is already in use. Nothing was saved. Open that entry instead."


@dataclass(frozen=True)
class Period:
    """A period as typed: for which duty or kind, how long, from what, with its source."""

    name: str
    count: int
    unit: str
    starts: str
    source: str = ""


def add_carrier(
    *, person: User, at: datetime, periods: list[Period], **fields: object
) -> Carrier:
    """Add a carrier with its contract or tariff periods. Raise RefusedError."""
    carrier = Carrier(**fields)
    _add(carrier, periods, person=person, at=at)
    return carrier


def change_carrier(
    *,
    person: User,
    at: datetime,
    carrier: Carrier,
    version: int,
    periods: list[Period],
    **fields: object,
) -> None:
    """Change a carrier. Raise StaleRowError and RefusedError."""
    _change(carrier, periods, version=version, fields=fields, person=person, at=at)


def add_supplier(
    *, person: User, at: datetime, periods: list[Period], **fields: object
) -> Supplier:
    """Add a supplier with its own notice periods. Raise RefusedError."""
    supplier = Supplier(**fields)
    _add(supplier, periods, person=person, at=at)
    return supplier


def change_supplier(
    *,
    person: User,
    at: datetime,
    supplier: Supplier,
    version: int,
    periods: list[Period],
    **fields: object,
) -> None:
    """Change a supplier. Raise StaleRowError and RefusedError."""
    _change(supplier, periods, version=version, fields=fields, person=person, at=at)


def _add(
    partner: Carrier | Supplier, periods: list[Period], *, person: User, at: datetime
) -> None:
    try:
        with transaction.atomic():
            partner.save(force_insert=True)
            _set_periods(partner, periods)
            record_event(
                kind=f"{noun_of(partner)}.added",
                at=at,
                actor=person,
                location=None,
                subjects=[partner],
                data={"name": partner.name},
            )
    except IntegrityError as error:
        raise RefusedError(_TAKEN) from error


def _change(
    partner: Carrier | Supplier,
    periods: list[Period],
    *,
    version: int,
    fields: dict[str, object],
    person: User,
    at: datetime,
) -> None:
    with transaction.atomic():
        changed = change_row(partner, version=version, **fields)
        if _set_periods(partner, periods):
            changed.append("its own periods")
        record_event(
            kind=f"{noun_of(partner)}.changed",
            at=at,
            actor=person,
            location=None,
            subjects=[partner],
            data={
                "name": partner.name,
                "changed": changed_words(changed),
            },
        )


def _set_periods(partner: Carrier | Supplier, periods: list[Period]) -> bool:
    """Replace the partner's own periods; return whether any changed."""
    if isinstance(partner, Carrier):
        return _set_terms(partner, periods)
    return _set_supplier_periods(partner, periods)


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


def _set_supplier_periods(supplier: Supplier, periods: list[Period]) -> bool:
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

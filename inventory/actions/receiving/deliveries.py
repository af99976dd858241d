"""Logging a truck at the dock, and correcting what was logged before it signs."""

from datetime import date, datetime

from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_open_tailgate
from inventory.actions.receiving.undo import before
from inventory.models import Carrier, Delivery, Location, User
from inventory.rules.core.changes import changed_words
from inventory.rules.reckoning.moments import clock_difference, dock_day, dock_time
from inventory.rules.reckoning.truck_facts import fact_words


def log_delivery(
    *,
    person: User,
    at: datetime,
    location: Location,
    arrived_at: datetime,
    carrier: Carrier | None = None,
    carrier_name: str = "",
    phone_shows: datetime | None = None,
    **details: object,
) -> Delivery:
    """Log one truck. A carrier that is not listed yet is added by its name.

    ``arrived_at`` is aware; ``details`` are its columns for the driver, the trailer,
    the seal and the unloading. ``phone_shows`` is the clock of the phone on which the
    form waited: where it is off, that is recorded beside the arrival as it was told.
    """
    with transaction.atomic():
        row = carrier or _carrier_named(carrier_name, person=person, at=at)
        delivery = Delivery.objects.create(
            location=location,
            carrier=row,
            arrived_at=arrived_at,
            arrived_on=day_at(location, arrived_at),
            **details,
        )
        record_event(
            kind="delivery.logged",
            at=at,
            actor=person,
            location=location,
            subjects=[delivery],
            data={
                "carrier": row.name,
                "arrived_at": arrived_at.isoformat(),
            },
        )
        if phone_shows is not None:
            _record_clock(delivery, phone_shows, person=person, at=at)
    return delivery


def _record_clock(
    delivery: Delivery, phone_shows: datetime, *, person: User, at: datetime
) -> None:
    """Record that the phone's clock was off, with both times, where it was."""
    off = clock_difference(phone_shows, at)
    if not off:
        return
    place = delivery.location
    record_event(
        kind="delivery.phone-clock",
        at=at,
        actor=person,
        location=place,
        subjects=[delivery],
        data={
            "off": off,
            "told": dock_time(delivery.arrived_at, place.zone, None),
            "received": dock_time(at, place.zone, None),
        },
    )


def change_delivery(
    *,
    person: User,
    at: datetime,
    delivery: Delivery,
    version: int,
    carrier: Carrier,
    arrived_at: datetime,
    **details: object,
) -> None:
    """Correct what was logged.

    Raise ClosedTailgateError, StaleRowError and, for the carrier, RefusedError. The
    carrier cannot change once the truck has a freight bill: a bill's number belongs
    to its carrier.
    """
    with transaction.atomic():
        locked = lock_open_tailgate(delivery.pk)
        if carrier.pk != locked.carrier_id and locked.handovers.exists():
            raise RefusedError(
                f"This truck has freight bills of {locked.carrier}, so its carrier "
                "cannot change. Nothing was saved. If the carrier is wrong, log "
                "another truck."
            )
        changed = change_row(
            locked,
            version=version,
            carrier_id=carrier.pk,
            arrived_at=arrived_at,
            arrived_on=day_at(locked.location, arrived_at),
            **details,
        )
        record_event(
            kind="delivery.changed",
            at=at,
            actor=person,
            location=locked.location,
            subjects=[locked],
            data={"changed": changed_words(changed)},
        )


def record_fact(
    *, person: User, at: datetime, delivery: Delivery, **fact: object
) -> str:
    """Record facts of the unloading, one tap each; return them in words.

    The last tap counts. Raise ClosedTailgateError.
    """
    with transaction.atomic():
        locked = lock_open_tailgate(delivery.pk)
        was = before(locked, *fact)
        what = fact_words(fact, locked.location.zone)
        change_row(locked, version=locked.version, **fact)
        record_event(
            kind="delivery.fact",
            at=at,
            actor=person,
            location=locked.location,
            subjects=[locked],
            data={
                "what": what,
                "delivery": locked.pk,
                "before": was,
                "version": locked.version,
            },
        )
    return what


def day_at(location: Location, moment: datetime) -> date:
    """Return the day that the moment falls on at this location."""
    return dock_day(moment, location.zone)


def _carrier_named(name: str, *, person: User, at: datetime) -> Carrier:
    found = Carrier.objects.filter(name__iexact=name).first()
    if found:
        return found
    try:
        with transaction.atomic():
            carrier = Carrier.objects.create(name=name)
    except IntegrityError:  # another truck added it between our look and this write
        return Carrier.objects.get(name=name)
    record_event(
        kind="carrier.added",
        at=at,
        actor=person,
        location=None,
        subjects=[carrier],
        data={"name": name},
    )
    return carrier

"""A machine's setup: begin it, find its list again, write its history."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from claims.actions.bench.inspections import Subject, record_inspection, why_not_inspect
from claims.actions.bench.setup_lists import current_list
from claims.models import Setup
from claims.queries.bench.looks import last_look
from claims.queries.bench.setup_lines import LineRead
from claims.queries.bench.setups import SetupPage, setup_page
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Unit, User

NOT_BEGUN = "The setup of this machine has not begun. Nothing was saved."


def begin_setup(*, person: User, at: datetime, unit: Unit, kind: str) -> Setup:
    """Begin the setup of a machine by the last list of its kind: it is inspected.

    Begun again, it takes the newer version of the list; its readings stay. Raise
    RefusedError while the machine cannot be set up, or where nothing is newer.
    """
    with transaction.atomic():
        Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
        _refuse_unless_possible(unit)
        found = current_list(kind=kind, person=person, at=at)
        setup, is_new = Setup.objects.get_or_create(
            unit=unit, setup_list=found, defaults={"begun_at": at, "begun_by": person}
        )
        if not is_new:
            raise RefusedError(
                "The setup of this machine has begun with this list. Nothing was "
                "changed."
            )
        subject = Subject(unit.shipment, unit=unit)
        if not last_look(shipment=unit.shipment, crate=None, unit=unit, stage="set-up"):
            record_inspection(person=person, at=at, subject=subject, stage="set-up")
        record_setup(
            "setup.begun",
            setup,
            person=person,
            at=at,
            data={"list": str(found).lower()},
        )
        return setup


def locked_page(unit: Unit, *, even_on_hold: bool = False) -> SetupPage:
    """Lock the machine; return its setup.

    Raise RefusedError before its setup began, or while it cannot be set up: on hold it
    is only looked at, with ``even_on_hold``.
    """
    Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
    if not even_on_hold:
        _refuse_unless_possible(unit)
    page = setup_page(unit)
    if page is None:
        raise RefusedError(NOT_BEGUN)
    return page


def line_of(page: SetupPage, key: str) -> LineRead:
    """Return this line of the machine's list. Raise RefusedError for another."""
    found = page.line(key)
    if found is None:
        raise RefusedError("This line is not on the machine's list. Nothing was saved.")
    return found


def record_setup(
    kind: str,
    setup: Setup,
    *more: Model,
    person: User,
    at: datetime,
    data: Mapping[str, object],
) -> None:
    """Record one event of a setup, on its machine and its freight bill."""
    unit = setup.unit
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=unit.shipment.location,
        subjects=[unit.shipment, unit, *more],
        data={"unit": str(unit), **data},
    )


def _refuse_unless_possible(unit: Unit) -> None:
    refusal = why_not_inspect(Subject(unit.shipment, unit=unit), "set-up")
    if refusal:
        raise RefusedError(refusal)

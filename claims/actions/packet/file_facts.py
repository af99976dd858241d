"""Stating the facts that only the claim file asks for, and naming counsel."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.models import Claim
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.models import Shipment, Unit
from inventory.rules.reckoning.calendars import in_words


@dataclass(frozen=True)
class FileFacts:
    """What the manager states for the claim file. ``conditions`` are by machine."""

    TEXTS: ClassVar[tuple[str, ...]] = (
        *("extent", "inspect_at", "salvage_held", "repair_done", "pay_to"),
        *("signer_name", "signer_title", "signer_phone", "stood_at", "stood_moves"),
    )

    extent: str = ""
    inspect_at: str = ""
    salvage_held: str = ""
    repair_done: str = ""
    pay_to: str = ""
    signer_name: str = ""
    signer_title: str = ""
    signer_phone: str = ""
    stood_at: str = ""
    stood_moves: str = ""
    is_only_claim: bool = False
    stood_unopened: bool = False
    neutral_lines: Mapping[str, str] = field(default_factory=dict)
    freight_class: str = ""
    conditions: Mapping[int, str] = field(default_factory=dict)


def state_file_facts(*, claim: Claim, facts: FileFacts, step: Step) -> Claim:
    """Write the facts to the claim, its freight bill and its machines.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    with transaction.atomic():
        row = locked(claim)
        require_act(row, "build-packet", step)
        change_row(
            row,
            version=step.version,
            **{name: getattr(facts, name) for name in FileFacts.TEXTS},
            is_only_claim=facts.is_only_claim,
            stood_unopened=facts.stood_unopened,
            neutral_lines=dict(facts.neutral_lines),
        )
        bill = Shipment.standing.select_for_update(of=("self",)).get(pk=row.shipment_id)
        if bill.freight_class != facts.freight_class:
            change_row(bill, version=bill.version, freight_class=facts.freight_class)
        _set_conditions(bill, facts.conditions)
        record_event(
            kind="claim.file-facts",
            at=step.at,
            actor=step.person,
            location=row.location,
            subjects=[row.shipment, row],
            data={"number": row.number},
        )
    return row


def _set_conditions(bill: Shipment, conditions: Mapping[int, str]) -> None:
    units = Unit.objects.select_for_update(of=("self",)).filter(
        shipment=bill, pk__in=list(conditions)
    )
    for unit in units.order_by("pk"):
        if unit.condition != conditions[unit.pk]:
            change_row(unit, version=unit.version, condition=conditions[unit.pk])


def record_counsel(*, claim: Claim, name: str, on: date, step: Step) -> Claim:
    """Record that this counsel asked for the opposing arguments on this day.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    with transaction.atomic():
        row = locked(claim)
        require_act(row, "build-packet", step)
        change_row(row, version=step.version, counsel_name=name, counsel_asked_on=on)
        record_event(
            kind="claim.counsel",
            at=step.at,
            actor=step.person,
            location=row.location,
            subjects=[row],
            data={"number": row.number, "name": name, "on": in_words(on)},
        )
    return row

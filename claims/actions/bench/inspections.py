"""Recording the inspection of a crate or a machine at the bench."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Model
from django.db.models.functions import Coalesce

from claims.models import Inspection
from claims.rules.bench.holds import may_set_up
from claims.rules.core.vocabulary import STAGES
from inventory.actions.core.events import record_event, waited
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.photo_facts import About
from inventory.models import Crate, Delivery, Handover, Hold, Shipment, Unit, User
from inventory.models.deliveries import CLOSED
from inventory.rules.reckoning.moments import dock_day


@dataclass(frozen=True)
class LookTaken:
    """The result of one point of the list; the reading is text as read."""

    key: str
    result: str
    reading: str = ""
    unit: str = ""


@dataclass(frozen=True)
class Subject:
    """What is inspected: a machine, a crate, or the whole freight bill's count."""

    shipment: Shipment
    crate: Crate | None = None
    unit: Unit | None = None

    @property
    def box(self) -> Crate | None:
        """Return the crate concerned, that of the machine included."""
        return self.crate or (self.unit.crate if self.unit else None)

    @property
    def about(self) -> About:
        """Return the rows that a photo of this subject belongs to."""
        box = self.box
        return About(
            delivery=box.delivery if box else None,
            shipment=self.shipment,
            crate=box,
            unit=self.unit,
        )


def record_inspection(
    *,
    person: User,
    at: datetime,
    subject: Subject,
    stage: str,
    crate_condition: str = "",
    looks: Sequence[LookTaken] = (),
    note: str = "",
    tapped: datetime | None = None,
) -> Inspection:
    """Record an inspection, dated as it was tapped, else at this moment. A machine on hold is not set up.

    Raise RefusedError before the receipt is signed, while the crate is closed,
    and for a setup inspection while the machine is on hold.
    """
    with transaction.atomic():
        Shipment.objects.select_for_update().get(pk=subject.shipment.pk)
        refusal = why_not_inspect(subject, stage)
        if refusal:
            raise RefusedError(refusal)
        delivery = _delivery_of(subject)
        row = Inspection.objects.create(
            shipment=subject.shipment,
            delivery=delivery,
            crate=subject.box,
            unit=subject.unit,
            stage=stage,
            crate_condition=_condition(subject, crate_condition),
            looks=[asdict(look) for look in looks],
            note=note,
            looked_at=tapped or at,
            looked_on=dock_day(tapped or at, subject.shipment.location.zone),
            looked_by=person,
        )
        record_event(
            kind="inspection.recorded",
            at=at,
            actor=person,
            location=subject.shipment.location,
            subjects=_subjects(row),
            data={
                "stage": STAGES[stage],
                "what": str(subject.unit or subject.box or subject.shipment),
                "condition": row.crate_condition,
                "looks": row.looks,
                "note": note,
                **waited(at=at, tapped=tapped),
            },
        )
        return row


def why_not_inspect(subject: Subject, stage: str) -> str:
    """Return the reason why this inspection is not possible now, or ""."""
    box = subject.box
    if box is not None and box.opened_at is None:
        return (
            f"{box} has not been opened. Nothing was saved. Open it first, with "
            "photos as it is opened."
        )
    delivery = _delivery_of(subject)
    if delivery is None:
        return (
            "The receipt is not signed. Nothing was saved. What you find before "
            "that belongs on the receipt, so call the clerk."
        )
    if stage != "set-up" or subject.unit is None:
        return ""
    hold = Hold.objects.filter(unit=subject.unit, released_at=None).first()
    return may_set_up(
        is_held=hold is not None, hold_reason=hold.reason if hold else ""
    ).reason


def _condition(subject: Subject, told: str) -> str:
    if subject.box is not None:
        return told
    return "none" if subject.unit is not None else ""


def _delivery_of(subject: Subject) -> Delivery | None:
    """Return the truck that delivered it, once its bill's receipt is closed.

    A bare machine's is the last one whose receipt was closed.
    """
    box = subject.box
    if box is not None:
        return box.delivery if Handover.is_closed_for(box) else None
    closed = (
        Handover.objects.filter(CLOSED, shipment=subject.shipment)
        .select_related("delivery")
        .annotate(closed_at=Coalesce("signed_at", "delivery__signed_at"))
        .order_by("-closed_at", "-pk")
        .first()
    )
    return closed.delivery if closed else None


def _subjects(row: Inspection) -> list[Model]:
    about = (row.delivery, row.shipment, row.crate, row.unit, row)
    return [one for one in about if one is not None]

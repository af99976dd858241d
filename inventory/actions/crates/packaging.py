"""Holding a crate's packaging for the carrier, asking about it, and releasing it."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.crates.life import lock_crate
from inventory.models import Crate, Evidence, PackagingHold, User
from inventory.rules.crates import packaging as rules
from inventory.rules.crates.words import ON_HAND, PACKAGING_RELEASES
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day

ASKED = {"carrier": "the carrier", "supplier": "the supplier"}


def hold_packaging(
    *, crate: Crate, person: User, at: datetime, reason: str = rules.REASON
) -> PackagingHold | None:
    """Hold this crate's packaging as it is; return the hold in force.

    Repeatable: where one is in force nothing is written. None for a crate that is gone:
    refused, disposed of, or shipped back.
    """
    with transaction.atomic():
        row = lock_crate(crate.pk)
        standing = row.packaging_holds.filter(released_at=None).first()
        if standing or not _is_here(row):
            return standing
        location = row.shipment.location
        hold = PackagingHold.objects.create(
            crate=row,
            reason=reason,
            placed_at=at,
            placed_on=_day(at, row),
            placed_by=person,
        )
        record_event(
            kind="packaging.held",
            at=at,
            actor=person,
            location=location,
            subjects=[row.shipment, row, hold],
            data={"number": row.number, "reason": reason},
        )
        return hold


def _is_here(row: Crate) -> bool:
    if row.look == "refused" or row.disposal:
        return False
    return row.kind == "one-way" or row.state in ON_HAND


def _day(at: datetime, row: Crate) -> date:
    return dock_day(at, row.shipment.location.zone)


def ask_about_hold(
    *, person: User, at: datetime, hold: PackagingHold, version: int, who: str, on: date
) -> None:
    """Record the day on which the letter to the carrier or the supplier was sent.

    ``who`` is carrier or supplier. Raise RefusedError once the hold is released, for
    a day before it or in the future, and StaleRowError.
    """
    with transaction.atomic():
        row = _standing(hold)
        _check_day(row, on, at)
        change_row(row, version=version, **{f"{who}_asked_on": on})
        _tell(row, "packaging.asked", person, at, who=ASKED[who], on=on.isoformat())


def stop_supplier_clock(
    *, person: User, at: datetime, hold: PackagingHold, version: int, on: date
) -> None:
    """Record that the supplier agreed in writing not to count the held days.

    Raise as ``ask_about_hold`` does.
    """
    with transaction.atomic():
        row = _standing(hold)
        _check_day(row, on, at)
        change_row(row, version=version, supplier_stopped_on=on)
        _tell(row, "packaging.stopped", person, at, on=on.isoformat())


def release_packaging(
    *,
    person: User,
    at: datetime,
    hold: PackagingHold,
    version: int,
    how: str,
    reason: str,
    panel_kept: str = "",
    evidence: Sequence[Evidence] = (),
) -> PackagingHold:
    """Release the packaging: inspected, waived in writing, or by the manager.

    ``evidence`` was saved for this release; what is already saved for the crate
    counts too. ``panel_kept`` names the damaged panel that stays. Raise RefusedError
    where the proof is missing or the hold is already released, and StaleRowError.
    """
    with transaction.atomic():
        row = _standing(hold)
        facts = rules.ReleaseFacts(
            how=how,
            reason=reason,
            has_proof=has_proof(row.crate, how, evidence),
            pictures=pictures_of(row.crate),
        )
        against = rules.why_not_release(facts)
        if against:
            raise RefusedError(against)
        change_row(
            row,
            version=version,
            released_at=at,
            released_on=_day(at, row.crate),
            released_by=person,
            released_how=how,
            release_reason=reason,
            panel_kept=panel_kept,
        )
        kept = f" Kept here: {panel_kept}." if panel_kept else ""
        _tell(
            row,
            "packaging.released",
            person,
            at,
            how=PACKAGING_RELEASES[how].lower(),
            reason=f"{reason}{kept}",
        )
        return row


def pictures_of(crate: Crate) -> dict[str, int]:
    """Return how many different photos of this crate are saved, by kind."""
    rows = Evidence.objects.filter(
        crate=crate, original__media_type__startswith="image/"
    )
    pairs = set(rows.values_list("kind", "original_id"))
    return dict(Counter(kind for kind, _original in pairs))


def has_proof(crate: Crate, how: str, evidence: Sequence[Evidence] = ()) -> bool:
    """Return whether the carrier's document for this kind of release is saved.

    A document of the whole freight bill counts, one of another crate or machine not.
    """
    kind = rules.PROOF_KINDS.get(how)
    if kind is None:
        return False
    if any(one.kind == kind for one in evidence):
        return True
    inside = set(crate.units.values_list("pk", flat=True))
    kept = Evidence.objects.filter(shipment=crate.shipment_id, kind=kind)
    return any(
        one.crate_id in {None, crate.pk} and one.unit_id in {None, *inside}
        for one in kept
    )


def _standing(hold: PackagingHold) -> PackagingHold:
    """Return the hold locked and joined; raise RefusedError once it is released."""
    row = (
        PackagingHold.objects.select_for_update(of=("self",))
        .select_related("crate__shipment__location")
        .get(pk=hold.pk)
    )
    if row.released_at is not None:
        raise RefusedError("Someone already released this hold. Nothing was changed.")
    return row


def _check_day(row: PackagingHold, on: date, at: datetime) -> None:
    if on > _day(at, row.crate):
        raise RefusedError("That day is in the future. Nothing was saved.")
    if on < row.placed_on:
        raise RefusedError(
            f"That is before the hold began, on {in_words(row.placed_on)}. Nothing "
            "was saved. Check the day."
        )


def _tell(
    row: PackagingHold, kind: str, person: User, at: datetime, **data: object
) -> None:
    crate = row.crate
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=crate.shipment.location,
        subjects=[crate.shipment, crate, row],
        data={"number": crate.number, **data},
    )

"""Versions of a setup list, and entries of models from the maker's manual."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from claims.models import ModelEntry, SetupList
from claims.queries.bench.setups import latest_list
from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.entries import (
    adjuster_record,
    model_key,
    target_record,
    why_not_entry,
)
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS, as_records, why_not_version
from claims.rules.bench.targets import Target
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Location, User


def current_list(*, kind: str, person: User, at: datetime) -> SetupList:
    """Return the last version of this kind's list; the first time, store ours.

    The caller's transaction and event hold the row that this may write. Raise
    RefusedError for an unknown kind.
    """
    if kind not in KINDS:
        raise RefusedError("Choose the kind of machine. Nothing was saved.")
    found = latest_list(kind)
    if found is None:
        found, _ = SetupList.objects.get_or_create(
            kind=kind,
            number=1,
            defaults={
                "lines": as_records(KINDS[kind].lines),
                "made_at": at,
                "made_by": person,
            },
        )
    return found


def make_list(
    *,
    person: User,
    at: datetime,
    location: Location,
    kind: str,
    base: int,
    lines: Sequence[SetupLine],
    reason: str,
) -> SetupList:
    """Store the next version of a kind's list. Machines keep theirs until they take it.

    ``base`` is the version that the manager edited. Raise StaleRowError where a newer
    one was stored since, RefusedError with every reason against the list.
    """
    with transaction.atomic():
        standing = current_list(kind=kind, person=person, at=at)
        if standing.number != base:
            raise StaleRowError
        reasons = why_not_version(kind, lines)
        if reasons:
            raise RefusedError(f"{' '.join(reasons)} Nothing was saved.")
        row = SetupList.objects.create(
            kind=kind,
            number=base + 1,
            lines=as_records(lines),
            reason=reason,
            made_at=at,
            made_by=person,
        )
        record_event(
            kind="setup-list.made",
            at=at,
            actor=person,
            location=location,
            subjects=[row],
            data={
                "kind": KINDS[kind].label,
                "number": row.number,
                "count": len(lines),
                "reason": reason,
            },
        )
        return row


def make_entry(
    *,
    person: User,
    at: datetime,
    location: Location,
    model: str,
    kind: str,
    manual: str,
    targets: Sequence[Target] = (),
    adjusters: Sequence[Adjuster] = (),
) -> ModelEntry:
    """Store what the maker's manual says of a model, as its next entry.

    Readings taken before keep the verdict of the entry that stood then. Raise
    RefusedError with every reason against it.
    """
    with transaction.atomic():
        lines = current_list(kind=kind, person=person, at=at).rows
        reasons = why_not_entry(lines, targets, adjusters)
        if not model.strip():
            reasons = ("Enter the model.", *reasons)
        if reasons:
            raise RefusedError(f"{' '.join(reasons)} Nothing was saved.")
        key = model_key(model)
        earlier = ModelEntry.objects.filter(name_key=key).aggregate(last=Max("number"))
        row = ModelEntry.objects.create(
            model=model,
            name_key=key,
            number=(earlier["last"] or 0) + 1,
            kind=kind,
            manual=manual,
            targets=[target_record(one) for one in targets],
            adjusters=[adjuster_record(one) for one in adjusters],
            made_at=at,
            made_by=person,
        )
        record_event(
            kind="model-entry.made",
            at=at,
            actor=person,
            location=location,
            subjects=[row],
            data={"model": model, "number": row.number, "count": len(targets)},
        )
        return row

"""What happens to a crate from full to credited: the only writer of its state."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row, granted
from inventory.models import (
    Crate,
    CrateCheck,
    CrateType,
    PackagingHold,
    User,
)
from inventory.rules.crates import life as rules
from inventory.rules.crates.words import CRATE_STATES, DISPOSALS

EVENTS = {
    "retype": "crate.typed",
    "empty": "crate.emptied",
    "check": "crate.checked",
    "stage": "crate.staged",
    "unstage": "crate.taken-off",
    "ship": "crate.shipped",
    "credit": "crate.credited",
    "credit-short": "crate.short-credited",
    "lose": "crate.lost",
    "forfeit": "crate.forfeited",
    "scrap": "crate.scrapped",
    "reinstate": "crate.reinstated",
}
"""The event of each act. Starting and stopping tracking belong to other acts."""


def move_crate(
    *,
    crate: Crate,
    act: str,
    person: User,
    at: datetime,
    to: str = "",
    version: int | None = None,
    data: Mapping[str, object] | None = None,
    subjects: Sequence[Model] = (),
    **changes: object,
) -> Crate:
    """Do one act of the crate's life and record it; return the updated crate.

    The only way in which ``Crate.state`` changes. ``to`` chooses among several results;
    an act that undoes another goes back to the last check. ``data`` fills the
    gaps of the event's sentence (the crate's number is given), ``subjects`` are more
    rows whose history it belongs to, ``changes`` are further fields of the crate.
    Without ``version`` the current row is used. Raise RefusedError with
    the reason, and StaleRowError.
    """
    with transaction.atomic():
        row = lock_crate(crate.pk)
        state = decide_act(row, act, to, reason=str((data or {}).get("reason", "")))
        change_row(
            row,
            version=row.version if version is None else version,
            state=state,
            **changes,
        )
        record_event(
            kind=EVENTS[act],
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=[row.shipment, row, *subjects],
            data={
                "number": row.number,
                "mark": row.mark,
                "state": CRATE_STATES[state],
                **(data or {}),
            },
        )
        return row


def lock_crate(pk: int) -> Crate:
    """Return the crate, locked, with its bill, dock, supplier and type."""
    rows = Crate.objects.select_for_update(of=("self",))
    joined = rows.select_related(
        "shipment__location", "shipment__supplier", "delivery", "crate_type"
    )
    return joined.get(pk=pk)


def is_held(crate: Crate) -> bool:
    """Return whether this crate's packaging is on hold now."""
    return PackagingHold.objects.filter(crate=crate, released_at=None).exists()


def empty_crate(
    *, person: User, at: datetime, crate: Crate, version: int | None = None
) -> Crate:
    """Record that the machine is out. Raises RefusedError while the crate is closed."""
    return move_crate(crate=crate, act="empty", person=person, at=at, version=version)


def scrap_crate(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    reason: str,
    version: int | None = None,
) -> Crate:
    """Scrap a reusable crate with a reason. Its deposit is accounting's to forfeit."""
    return move_crate(
        crate=crate,
        act="scrap",
        person=person,
        at=at,
        version=version,
        data={"reason": reason},
    )


def dispose_crate(
    *, person: User, at: datetime, crate: Crate, how: str, version: int | None = None
) -> Crate:
    """Record the disposal of a one-way crate. Raise RefusedError with the reason."""
    with transaction.atomic():
        row = lock_crate(crate.pk)
        against = why_not_dispose(row)
        if against:
            raise RefusedError(against)
        change_row(
            row, version=row.version if version is None else version, disposal=how
        )
        record_event(
            kind="crate.disposed",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=[row.shipment, row],
            data={"number": row.number, "how": DISPOSALS[how].lower()},
        )
        return row


def why_not_dispose(crate: Crate) -> str:
    """Return the reason against disposing of this crate now, or the empty text."""
    return rules.why_not_dispose(
        rules.DisposalFacts(
            kind=crate.kind,
            is_opened=crate.opened_at is not None,
            is_refused=crate.look == "refused",
            disposal=crate.disposal,
            is_held=is_held(crate),
        )
    )


def set_crate_type(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    crate_type: CrateType,
    version: int | None = None,
) -> Crate:
    """Set the crate's type; an earlier check becomes void.

    Raise RefusedError for a type of another supplier and for a crate that is not
    tracked, or no longer here.
    """
    with transaction.atomic():
        row = lock_crate(crate.pk)
        if crate_type.supplier_id != row.shipment.supplier_id:
            raise RefusedError(
                "This type belongs to another supplier. Nothing was changed. Choose "
                "one from the list."
            )
        return move_crate(
            crate=row,
            act="retype",
            person=person,
            at=at,
            version=version,
            data={"type": crate_type.name},
            crate_type=crate_type,
        )


def decide_act(row: Crate, act: str, to: str = "", *, reason: str = "") -> str:
    """Return the state the act leads to, or raise RefusedError with every reason."""
    if not to and len(rules.LIFE.acts[act].ends.get(row.state, ())) > 1:
        to = _state_before(row)
    facts = rules.CrateFacts(
        is_held=is_held(row), is_opened=row.opened_at is not None, reason=reason
    )
    return granted(rules.LIFE.decide(row.state, act, facts, to=to or None), row)


def _state_before(row: Crate) -> str:
    """Return the crate's state in the yard: as last checked, emptied, or full."""
    last = CrateCheck.objects.filter(crate=row).order_by("-pk").first()
    if last is not None:
        return last.result
    if row.state == "staged":
        return "complete"
    return "full" if row.opened_at is None else "emptied"

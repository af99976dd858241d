"""The end of a setup: signed off, or released by the manager without."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from claims.actions.bench.setup_sheets import (
    StoredSheet,
    read_sheet,
    sheet_bytes,
    shown_on,
)
from claims.actions.bench.setups import NOT_BEGUN, locked_page, record_setup
from claims.models import SignOff
from claims.queries.bench.releases import releases_of
from claims.queries.bench.setup_sheets import Signing, sheet_of
from claims.queries.bench.setups import SetupPage, setup_page
from claims.queries.bench.sign_offs import verdict_of
from claims.rules.bench.sign_off import RELEASES, OpenItem, SignOffVerdict
from inventory.actions.core.events import lock_chain, record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.evidence.seal.register import last_sequence
from inventory.models import Unit, User
from inventory.rules.core.sent_documents import SETUP_SHEET
from inventory.rules.reckoning.moments import dock_day

CHANGED = (
    "Something on the setup sheet was changed just now. Nothing was saved. Read the page "
    "again, then sign off."
)


def sign_off_setup(
    *,
    person: User,
    at: datetime,
    unit: Unit,
    items: Sequence[OpenItem] = (),
    sheet: StoredSheet | None = None,
) -> SignOff:
    """Sign off a machine's setup, complete or with these open items.

    Its setup sheet is kept as it went out: ``sheet`` is the one by ``draw_sheet``, which
    must come before any transaction. With open items it may be signed off again once
    they are done. Raise RefusedError with every reason against it.
    """
    if sheet is None:
        sheet = draw_sheet(person=person, at=at, unit=unit, items=items)
    with transaction.atomic():
        begin_sending(sheet.document)
        page = locked_page(unit, even_on_hold=True)
        today = dock_day(at, unit.shipment.location.zone)
        verdict = _verdict(page, today, items)
        if sheet.shows != shown_on(page):
            raise RefusedError(
                "Somebody saved another line of this machine just now. Nothing was "
                "saved. Read the list again, then sign off."
            )
        lock_chain()  # from here on nobody changes what it says
        _refuse_changed(sheet, unit)
        row = SignOff.objects.create(
            setup=page.setup,
            unit=unit,
            state=verdict.state,
            items=[_item_record(item) for item in verdict.open_items],
            lines=_frozen(page),
            signed_at=at,
            signed_on=today,
            signed_by=person,
        )
        keep_sent(
            sheet.document,
            about=row,
            kind=SETUP_SHEET,
            location=unit.shipment.location,
            person=person,
            at=at,
        )
        record_setup(
            "setup.signed-off",
            page.setup,
            person=person,
            at=at,
            data={
                "state": RELEASES[row.state].lower(),
                "items": _item_words(page, verdict.open_items),
            },
        )
        return row


def draw_sheet(
    *, person: User, at: datetime, unit: Unit, items: Sequence[OpenItem] = ()
) -> StoredSheet:
    """Draw and store the sheet of a machine as this person is about to sign it off.

    Raise RefusedError with every reason against the sign-off, or where the disk refuses.
    """
    before = last_sequence()
    page = setup_page(unit)
    if page is None:
        raise RefusedError(NOT_BEGUN)
    today = dock_day(at, unit.shipment.location.zone)
    verdict = _verdict(page, today, items)
    signing = Signing(verdict.state, verdict.open_items, person, at)
    content = read_sheet(page.setup, person=person, at=at, signing=signing)
    document = store_document(sheet_bytes(content, made_on=today))
    return StoredSheet(document, content, signing, shown_on(page), before)


def _refuse_changed(sheet: StoredSheet, unit: Unit) -> None:
    """Read the sheet again, where anything was recorded since it was drawn.

    No file is opened: everybody else waits.
    """
    if last_sequence() == sheet.before:
        return
    page = setup_page(unit)
    drawn = {photo.sha256: photo.picture for photo in sheet.content.photos}
    if page is None or sheet.content != sheet_of(
        page.setup,
        at=sheet.signing.at,
        signing=sheet.signing,
        picture_of=lambda row: drawn.get(row.original_id),
    ):
        raise RefusedError(CHANGED)


def _verdict(page: SetupPage, today: date, items: Sequence[OpenItem]) -> SignOffVerdict:
    last = page.setup.sign_offs.order_by("-pk").first()
    if last is not None and last.state == "complete":
        raise RefusedError(
            f"{page.setup.unit} is signed off already: complete. Nothing was changed."
        )
    verdict = verdict_of(page, today=today, items=items)
    if not verdict.allowed:
        raise RefusedError(f"{' '.join(verdict.reasons)} Nothing was saved.")
    return verdict


def release_unsigned(*, person: User, at: datetime, unit: Unit, reason: str) -> SignOff:
    """Release a machine without a sign-off, by the manager and with a reason.

    Raise RefusedError where it is released already, or without the reason.
    """
    with transaction.atomic():
        Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
        if releases_of([unit])[unit.pk]:
            raise RefusedError(f"{unit} is released already. Nothing was changed.")
        if not reason.strip():
            raise RefusedError("Enter the reason. Nothing was saved.")
        row = SignOff.objects.create(
            unit=unit,
            state="manager",
            reason=reason,
            signed_at=at,
            signed_on=dock_day(at, unit.shipment.location.zone),
            signed_by=person,
        )
        record_event(
            kind="setup.released",
            at=at,
            actor=person,
            location=unit.shipment.location,
            subjects=[unit.shipment, unit],
            data={"unit": str(unit), "reason": reason},
        )
        return row


def _item_record(item: OpenItem) -> dict[str, str]:
    return {
        "line": item.line,
        "what": item.what,
        "who": item.who,
        "by": item.by.isoformat(),
    }


def _item_words(page: SetupPage, items: Sequence[OpenItem]) -> str:
    labels = {row.line.key: row.line.label for row in page.lines}
    return " ".join(
        f"{labels[item.line]}: {item.what or 'open'}, {item.who}, by "
        f"{item.by.isoformat()}."
        for item in items
    )


def _frozen(page: SetupPage) -> list[dict[str, object]]:
    """Return each line as it stood at the sign-off."""
    found: list[dict[str, object]] = []
    for row in page.lines:
        last = row.last
        found.append(
            {
                "line": row.line.key,
                "label": row.line.label,
                "reading": last.pk if last else None,
                "result": last.result if last else "",
            }
        )
    return found

"""Signing delivery receipts, bill by bill, and what follows from each."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from claims.actions.bench.holds import hold_for
from claims.actions.core.deadlines import count_deadlines
from claims.actions.receiving.shortages import settle_shortage
from claims.models import Finding
from claims.queries.receiving.receipts import BillAtTailgate, bills_at_tailgate
from claims.rules.receiving.receipt_lines import join_words
from inventory.actions.core.events import record_event, waited
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import (
    ClosedBillError,
    close_with_its_bills,
    lock_open_tailgate,
)
from inventory.models import Delivery, Handover, Shipment, User
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import HOW_SIGNED, WORDS_STAND_ON

_HOLD_REASON = "Damage was recorded at delivery. The carrier may inspect."

COPIES = {
    "handheld": "none",
    "bare": "none",
    "refused": "ours",
    "no-wait": "ours",
    "dropped": "ours",
    "unattended": "ours",
}
"""The copies that have our exceptions where the driver did not sign below them."""


@dataclass(frozen=True)
class Signature:
    """How one bill's receipt ended: vocabulary keys, the driver's or witness's name.

    ``read`` is the digest of the text that a page showed, where one did.
    """

    how_signed: str
    driver_signed_name: str = ""
    words_stand_on: str = ""
    no_photo_reason: str = ""
    witness_name: str = ""
    read: str | None = None

    def as_columns(self) -> dict[str, object]:
        """Return what the bill's row says of it."""
        is_ours = self.how_signed not in COPIES
        return {
            "how_signed": self.how_signed,
            "driver_signed_name": self.driver_signed_name,
            "witness_name": self.witness_name,
            "words_stand_on": self.words_stand_on
            if is_ours
            else COPIES[self.how_signed],
            "no_photo_reason": self.no_photo_reason,
        }


def sign_bills(
    *,
    person: User,
    at: datetime,
    delivery: Delivery,
    version: int,
    answers: Mapping[int, Signature],
    tapped: datetime | None = None,
) -> Delivery:
    """Close the record of these bills: freeze exceptions, counts and deadlines of each.

    ``answers`` are by handover. The truck is closed with its last bill. All of it is
    dated by the tap, which may have waited on a phone: ``tapped``, else ``at``. Raise
    ClosedTailgateError, ClosedBillError, StaleRowError, and RefusedError where a count
    cannot be right or the text is not the one that was read. Adds nothing that is
    missing: a receipt may be signed with crates not inspected, and then says so.
    """
    with transaction.atomic():
        locked = lock_open_tailgate(delivery.pk)
        everything = bills_at_tailgate(locked)
        bills = [bill for bill in everything if bill.handover.pk in answers]
        _check(bills, everything, answers)
        change_row(locked, version=version)
        for bill in bills:
            _close(bill, answers[bill.handover.pk], person=person, at=tapped or at)
        close_with_its_bills(locked, person=person, at=tapped or at)
        shipments = [bill.handover.shipment for bill in bills]
        _stop_set_up(locked, shipments, person=person, at=at)
        for shipment in _locked(shipments):
            settle_shortage(shipment=shipment, at=at, person=person, tapped=tapped)
            count_deadlines(shipment=shipment, at=at, person=person)
        _record(locked, bills, answers, person=person, at=at)
    return locked


def sign_receipt(
    *,
    person: User,
    at: datetime,
    delivery: Delivery,
    version: int,
    signature: Signature,
) -> Delivery:
    """Close every open bill of the truck with the same answer, as `sign_bills` does."""
    rows = delivery.handovers.filter(signed_at=None).values_list("pk", flat=True)
    return sign_bills(
        person=person,
        at=at,
        delivery=delivery,
        version=version,
        answers=dict.fromkeys(rows, signature),
    )


def _check(
    bills: list[BillAtTailgate],
    everything: list[BillAtTailgate],
    answers: Mapping[int, Signature],
) -> None:
    if not everything:
        raise RefusedError(
            "This truck has no freight bill. Nothing was signed. Add the bill "
            "by its PRO number first."
        )
    if not bills or len(bills) < len(answers):
        raise RefusedError(
            "That freight bill is not on this truck. Nothing was signed. Open the "
            "page again."
        )
    for bill in bills:
        handover, answer = bill.handover, answers[bill.handover.pk]
        if handover.is_closed:
            raise ClosedBillError(handover)
        if bill.facts.problem:
            raise RefusedError(f"{bill.facts.problem} Nothing was signed.")
        if answer.read is not None and answer.read != bill.digest:
            raise RefusedError(
                f"The exceptions of {handover.shipment} changed after you opened this "
                "page. Nothing was signed. Read them again and correct the receipt."
            )


def _close(
    bill: BillAtTailgate, answer: Signature, *, person: User, at: datetime
) -> None:
    words = bill.ending(answer.how_signed, witness=answer.witness_name)
    change_row(
        bill.handover,
        version=bill.handover.version,
        words_full=words.full,
        words_short=words.short,
        words_cut={
            str(limit): {"text": cut.text, "left_out": list(cut.left_out)}
            for limit, cut in words.cuts.items()
        },
        signed_at=at,
        signed_by_id=person.pk,
        **answer.as_columns(),
    )


def _locked(shipments: list[Shipment]) -> list[Shipment]:
    rows = Shipment.objects.select_for_update(of=("self",)).filter(
        pk__in=[row.pk for row in shipments]
    )
    return list(rows.select_related("location", "carrier", "supplier").order_by("pk"))


def _stop_set_up(
    delivery: Delivery, shipments: list[Shipment], *, person: User, at: datetime
) -> None:
    """Hold every crate of these bills with transit damage, and the machines in it."""
    findings = (
        Finding.objects.filter(
            delivery=delivery,
            shipment__in=shipments,
            cause="transit",
            crate__isnull=False,
        )
        .exclude(route="nowhere")
        .exclude(crate__look="refused")
        .select_related("crate")
        .order_by("pk")
    )
    for finding in findings:
        hold_for(finding, reason=_HOLD_REASON, person=person, at=at)


def _record(
    delivery: Delivery,
    bills: list[BillAtTailgate],
    answers: Mapping[int, Signature],
    *,
    person: User,
    at: datetime,
) -> None:
    """Record one event for the bills that ended alike."""
    alike: dict[tuple[str, str, str], list[Handover]] = {}
    for bill in bills:
        row = bill.handover
        key = (row.how_signed, row.driver_signed_name, row.witness_name)
        alike.setdefault(key, []).append(row)
    for (how, driver, witness), rows in alike.items():
        record_event(
            kind="receipt.signed" if how == "signed" else "receipt.ended",
            at=at,
            actor=person,
            location=delivery.location,
            subjects=[delivery, *(row.shipment for row in rows)],
            data={
                "how": _how(how, driver, witness, rows),
                "words_stand_on": WORDS_STAND_ON.get(rows[0].words_stand_on, ""),
                "no_photo_reason": answers[rows[0].pk].no_photo_reason,
                "words": {row.shipment.pro_number: row.words_full for row in rows},
                "counted": {
                    row.shipment.pro_number: row.pieces_counted for row in rows
                },
                **waited(at=at, tapped=rows[0].signed_at),
            },
        )


def _how(how: str, driver: str, witness: str, rows: list[Handover]) -> str:
    words = mid_sentence(HOW_SIGNED[how])
    if driver:
        words += f", by {driver}"
    if witness:
        words += f", witness {witness}"
    return f"{words} ({join_words([str(row.shipment) for row in rows])})"

"""What a receipt leaves to do the same day: mails to terminals, disposition requests."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby

from django.db.models import CharField, Exists, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Cast, Coalesce

from claims.models import Finding, Inspection, Notice
from claims.queries.core.test_trucks import test_event
from claims.rules.letters.terminal_mail import WITHIN
from claims.rules.receiving.receipt_lines import join_words, ranges
from inventory.access import scoped_in_order
from inventory.models import (
    Crate,
    Delivery,
    Handover,
    OpenWork,
    SentDocument,
    Shipment,
    User,
)
from inventory.queries.receiving.dock import MOST_SHOWN
from inventory.rules.core.sent_documents import TERMINAL_MAIL

Key = tuple[int, int | None]
"""A bill on a truck: shipment and delivery."""

UNBROKEN = "\N{NON-BREAKING HYPHEN}"
"""A range of crates stays on one line."""

LISTED_FOR = timedelta(days=3)
"""How long the dock lists a mail that was not sent. Our own choice."""


def bills_to_mail(rows: QuerySet[Handover] | None = None) -> QuerySet[Handover]:
    """Return the bills whose receipt ended otherwise than signed with our exceptions.

    Not those that were mailed or are on a test truck, nor those signed without
    exceptions where there were none to write. The truck and its carrier are joined.
    """
    mailed = SentDocument.objects.filter(
        noun="handover",
        key=Cast(OuterRef("pk"), CharField()),
        kind=TERMINAL_MAIL,
    )
    of_bill = {"delivery": OuterRef("delivery"), "shipment": OuterRef("shipment")}
    noted = Crate.objects.filter(look__in=["exception", "refused"], **of_bill)
    found = Finding.objects.exclude(route="nowhere").filter(**of_bill)
    bare = Q(how_signed__in=["handheld", "bare"]) & (
        Q(Exists(noted)) | Q(Exists(found))
    )
    unsigned = Q(how_signed__in=["refused", "no-wait", "dropped"])
    every = Handover.objects.all() if rows is None else rows
    return (
        every.filter(unsigned | bare)
        .filter(~Exists(mailed), ~test_event("delivery_id"))
        .select_related("shipment", "delivery__carrier", "delivery__location")
        .order_by("signed_at", "delivery_id", "pk")
    )


@dataclass(frozen=True)
class MailDue:
    """One truck whose terminal has to be mailed, and the minutes left in the hour."""

    delivery: Delivery
    pros: str
    minutes: int

    @property
    def is_late(self) -> bool:
        """Return whether the hour is over."""
        return self.minutes < 0

    @property
    def words(self) -> str:
        """Return the time left in words."""
        return "The hour is over" if self.is_late else f"{self.minutes} min left"


def mails_due(person: User, at: datetime) -> list[MailDue]:
    """Return the trucks whose terminal is to be mailed, the most urgent first."""
    rows = bills_to_mail(scoped_in_order(Handover.objects.all(), person))
    rows = rows.filter(signed_at__gte=at - LISTED_FOR)[:MOST_SHOWN]
    by_truck: dict[int, list[Handover]] = {}
    for row in rows:
        by_truck.setdefault(row.delivery_id, []).append(row)
    return [_mail(bills, at) for bills in by_truck.values()]


def _mail(bills: list[Handover], at: datetime) -> MailDue:
    first = min(row.signed_at for row in bills if row.signed_at)
    left = (first + WITHIN - at) // timedelta(minutes=1)
    pros = join_words([row.shipment.pro_number for row in bills])
    return MailDue(bills[0].delivery, pros, left)


@dataclass(frozen=True)
class RefusedDue:
    """Refused crates of one bill and truck whose disposition was not asked for yet."""

    shipment: Shipment
    delivery: Delivery | None
    crates: str
    notice_id: int | None

    @property
    def key(self) -> Key:
        """Return the bill and the truck."""
        return self.shipment.pk, self.delivery.pk if self.delivery else None


def refused_without_disposition(person: User) -> list[RefusedDue]:
    """Return refused crates without a request sent after they were refused.

    ``notice_id`` is the request that is written and not sent. Two queries.
    """
    last_seen = (
        Inspection.objects.filter(crate=OuterRef("pk"), stage="tailgate")
        .order_by()
        .values("crate")
        .annotate(last=Max("looked_at"))
        .values("last")
    )
    asked = Notice.objects.filter(
        kind="disposition", shipment=OuterRef("shipment"), sent_on__isnull=False
    ).filter(Q(delivery=OuterRef("delivery")) | Q(delivery=None))
    rows = (
        scoped_in_order(
            Crate.objects.filter(pk__in=OpenWork.keys("refused-crate")), person
        )
        .annotate(refused_at=Coalesce(Subquery(last_seen), "delivery__arrived_at"))
        .filter(~Exists(asked.filter(written_at__gte=OuterRef("refused_at"))))
        .select_related("shipment__carrier", "shipment__location", "delivery")
        .order_by("shipment_id", "delivery_id", "number")
    )
    found = list(rows[:MOST_SHOWN])
    written = _written(found)
    return [
        _refused(list(crates), written)
        for _, crates in groupby(found, lambda row: (row.shipment_id, row.delivery_id))
    ]


def _written(crates: Iterable[Crate]) -> dict[Key, int]:
    rows = Notice.objects.filter(
        kind="disposition",
        shipment__in={crate.shipment_id for crate in crates},
        sent_on=None,
    ).order_by("pk")
    return {(row.shipment_id, row.delivery_id): row.pk for row in rows}


def _refused(crates: list[Crate], written: dict[Key, int]) -> RefusedDue:
    first = crates[0]
    numbers = ranges([crate.number for crate in crates]).replace("-", UNBROKEN)
    return RefusedDue(
        shipment=first.shipment,
        delivery=first.delivery,
        crates=f"{'crate' if len(crates) == 1 else 'crates'} {numbers}",
        notice_id=written.get((first.shipment_id, first.delivery_id)),
    )

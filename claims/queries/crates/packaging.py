"""The content of a packaging hold's page and of its two letters."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from claims.models import Finding
from claims.queries.letters.notices import (
    CARGO_CLAIMS,
    claims_desk_lines,
    sender_of,
    title_of,
)
from claims.rules.letters.packaging import HoldFacts
from claims.rules.packet.content import Party
from inventory.actions.crates.packaging import ASKED, pictures_of
from inventory.evidence.seal.sent_documents import last_sent
from inventory.models import (
    Crate,
    Event,
    Evidence,
    PackagingHold,
    SentDocument,
    Shipment,
    User,
)
from inventory.queries.deposits.crate_days import CreditDays, deposits_of, one_day
from inventory.rules.core.sent_documents import CARRIER_LETTER, SUPPLIER_LETTER
from inventory.rules.crates.packaging import PhotoCheck, photo_checks
from inventory.rules.reckoning.money import format_cents

KINDS = {"carrier": CARRIER_LETTER, "supplier": SUPPLIER_LETTER}


@dataclass(frozen=True)
class HoldPage:
    """The hold's days, the damage behind it, and the photos a release needs."""

    days: CreditDays
    findings: list[Finding]
    photos: tuple[PhotoCheck, ...]

    @property
    def is_pressing(self) -> bool:
        """Return whether the last day is within two weeks, or past."""
        return self.days.state in {"running", "late"}


def holds_joined() -> "QuerySet[PackagingHold]":
    """Return packaging holds with all that their page reads."""
    return PackagingHold.objects.select_related(
        "crate__shipment__location",
        "crate__shipment__carrier",
        "crate__shipment__supplier",
        "crate__delivery",
        "crate__crate_type",
        "placed_by",
        "released_by",
    )


def hold_page(hold: PackagingHold, today: date) -> HoldPage:
    """Return the content of this hold's page on a day."""
    crate = hold.crate
    return HoldPage(
        days=days_of_one(crate, today),
        findings=list(damage_of(crate)),
        photos=photo_checks(pictures_of(crate)),
    )


def days_of_one(crate: Crate, today: date) -> CreditDays:
    """Return the credit days of one crate on a day."""
    return one_day(crate, deposits_of([crate]).get(crate.pk), today)


def damage_of(crate: Crate) -> "QuerySet[Finding]":
    """Return the transit findings on a crate and on the machines in it."""
    units = list(crate.units.values_list("pk", flat=True))  # a join reads every finding
    return (
        Finding.objects.filter(Q(crate=crate) | Q(unit__in=units), cause="transit")
        .exclude(route="nowhere")
        .select_related("unit", "crate", "shipment", "inspection")
        .order_by("number")
    )


def waiting_letter(hold: PackagingHold, who: str) -> SentDocument | None:
    """Return the letter that was confirmed and is not recorded as sent yet.

    Each letter is recorded as sent by an event of its own. Letters of before were kept
    and recorded in one act, under one moment.
    """
    letter = last_sent(hold, KINDS[who])
    if letter is None:
        return None
    sent = Event.objects.filter(
        kind="packaging.asked",
        recorded_at__gte=letter.made_at,
        subjects__noun="packaginghold",
        subjects__key=str(hold.pk),
        data__who=ASKED[who],
    )
    return None if sent.exists() else letter


def letter_facts(hold: PackagingHold, person: User, today: date) -> HoldFacts:
    """Return the content of the two letters about this hold on a day."""
    crate, shipment = hold.crate, hold.crate.shipment
    days = days_of_one(crate, today)
    deposit = days.deposit
    photos = Evidence.objects.filter(
        crate=crate, original__media_type__startswith="image/"
    )
    return HoldFacts(
        on=today,
        sender=sender_of(shipment.location),
        carrier=_carrier(shipment),
        supplier=_supplier(shipment),
        crate=str(crate),
        is_reusable=crate.kind == "reusable",
        pro=shipment.pro_number,
        bol=shipment.bol_number,
        delivered_on=crate.delivery.arrived_on if crate.delivery else None,
        held_on=hold.placed_on,
        findings=tuple(_in_words(row) for row in damage_of(crate)),
        photo_count=photos.count(),
        invoice=deposit.invoice_number if deposit else "",
        deposit=_amount(deposit.amount_cents, days) if deposit else "",
        last_full_on=days.last_full_on,
        loss_per_day=_amount(days.loss_cents, days) if days.loss_cents else "",
        written_by=str(person),
        title=title_of(person, shipment.location),
        paper="a4" if shipment.location.paper == "a4" else "letter",
    )


def _amount(cents: int, days: CreditDays) -> str:
    return format_cents(cents, days.currency, code=True)


def _in_words(row: Finding) -> str:
    where = str(row.unit or row.crate or "")
    part = f"{row.part}, " if row.part else ""
    return f"{where}: {part}{row.get_damage_kind_display()}. {row.facts}"


def _carrier(shipment: Shipment) -> Party:
    carrier = shipment.carrier_of_record or shipment.carrier
    name = f"{carrier.printed_name}, {CARGO_CLAIMS}"
    return Party(name, claims_desk_lines(carrier, below=name))


def _supplier(shipment: Shipment) -> Party:
    supplier = shipment.supplier
    if supplier is None:
        return Party("The supplier of this crate")
    lines = (*supplier.address.splitlines(), supplier.returns_email)
    return Party(f"{supplier.name}, crates", tuple(line for line in lines if line))

"""The facts of a notice, from one freight bill and, if named, one truck."""

from dataclasses import replace
from datetime import date

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, Finding, Notice
from claims.queries.claim.proof import evidence_of
from claims.queries.core.parties import addressee_of, written_to
from claims.queries.core.unclaimed import payable
from claims.queries.receiving.receipts import damage_of
from claims.rules.letters.content import LetterContent
from claims.rules.letters.notices import NoticeFacts, NoticeFinding, signed_text
from claims.rules.packet.content import Party, Row
from claims.rules.receiving.receipt_words import CrateLook, refused_line
from inventory.models import Carrier, Delivery, Handover, Location, Shipment, User
from inventory.rules.core.roles import TITLES
from inventory.rules.core.vocabulary import DELIVERY_TERMS_QUOTED
from inventory.rules.reckoning.calendars import in_full
from inventory.rules.reckoning.counts import TruckCount, compare_count
from inventory.rules.reckoning.moments import dock_day

CARGO_CLAIMS = "Cargo Claims"
SHORTS = ("short", "missing")
PICTURES = ("load", "look", "damage", "label", "opening")


def notice_facts(
    *,
    kind: str,
    shipment: Shipment,
    delivery: Delivery | None,
    person: User,
    today: date,
    to: Carrier | None = None,
) -> NoticeFacts:
    """Return all that a letter of this kind may say about this freight bill.

    ``shipment`` comes with its parties, supplier and location joined. Without a truck
    named, the bill's last one is used; without ``to``, the carrier of record.
    """
    handovers = list(
        Handover.objects.filter(shipment=shipment)
        .select_related("delivery")
        .order_by("delivery__arrived_at", "pk")
    )
    chosen = [row for row in handovers if delivery and row.delivery_id == delivery.pk]
    handover = next(iter([*chosen, *reversed(handovers)]), None)
    count = compare_count(
        billed=shipment.pieces_billed,
        unit=shipment.piece_unit,
        trucks=[
            TruckCount(row.pieces_counted, row.rest_to_follow) for row in handovers
        ],
    )
    to_supplier = kind == "supplier"
    to = to or shipment.carrier_of_record or shipment.carrier
    supplier = shipment.supplier
    files = evidence_of(shipment)
    refused = _refused(shipment, delivery)
    return NoticeFacts(
        on=today,
        addressee=supplier.name
        if to_supplier and supplier
        else f"{to.printed_name}, {CARGO_CLAIMS}",
        addressee_lines=_supplier_lines(shipment)
        if to_supplier
        else claims_desk_lines(to, below=CARGO_CLAIMS),
        sender=shipment.location.name,
        sender_lines=tuple(shipment.location.address.splitlines()),
        written_by=str(person),
        carrier=shipment.carrier.name,
        pro=shipment.pro_number,
        bol=shipment.bol_number,
        bol_on=shipment.bol_on,
        supplier=supplier.name if supplier else "",
        origin=shipment.origin,
        delivered_on=handover.delivery.arrived_on if handover else None,
        refused=bool(refused),
        refused_crates=refused if kind == "disposition" else (),
        words=handover.words_full if handover else "",
        ending=handover.ending if handover else "",
        title=title_of(person, shipment.location),
        counted=count.counted if count.state == "short" else None,
        billed=shipment.pieces_billed,
        piece_unit=shipment.piece_unit,
        findings=_findings(kind, shipment, delivery),
        photo_count=sum(1 for row in files if row.kind in PICTURES),
        supplier_files=bool(
            supplier
            and supplier.files_when_prepaid
            and shipment.freight_payer in {"prepaid", "prepaid-billed"}
        ),
        delivery_terms=DELIVERY_TERMS_QUOTED.get(shipment.delivery_terms, "")
        if shipment.regime != "private"
        else "",
    )


def _refused(shipment: Shipment, delivery: Delivery | None) -> tuple[str, ...]:
    """Return each refused crate with its reason and damage, as the receipt names it."""
    rows = shipment.crates.filter(look="refused").order_by("number")
    if delivery is not None:
        rows = rows.filter(delivery=delivery)
    found = Finding.objects.exclude(route="nowhere").order_by("number")
    lines = []
    for crate in rows.prefetch_related(Prefetch("findings", found)):
        damages = tuple(damage_of(row) for row in crate.findings.all())
        look = CrateLook(
            crate.number, crate.mark, "refused", damages, crate.refused_for
        )
        lines.append(refused_line(look, 0).full)
    return tuple(lines)


def claims_desk_lines(carrier: Carrier, *, below: str) -> tuple[str, ...]:
    """Return the address of its claims desk; a desk that ``below`` names is not named twice."""
    first, *others = [*carrier.claims_address.splitlines(), carrier.claims_email]
    is_named = below.casefold().endswith(first.strip().casefold())
    return tuple(line for line in (others if is_named else (first, *others)) if line)


def _supplier_lines(shipment: Shipment) -> tuple[str, ...]:
    supplier = shipment.supplier
    if supplier is None:
        return ()
    lines = [
        supplier.claims_contact,
        *supplier.address.splitlines(),
        supplier.claims_email,
    ]
    return tuple(line for line in lines if line)


def _findings(
    kind: str, shipment: Shipment, delivery: Delivery | None
) -> tuple[NoticeFinding, ...]:
    rows = _for_kind(kind, shipment).select_related("inspection", "unit", "crate")
    if delivery is not None:
        rows = rows.filter(delivery__in=[delivery]) | rows.filter(delivery=None)
    return tuple(
        NoticeFinding(
            number=row.number,
            what=_what(row),
            facts=row.facts,
            seen_on=row.inspection.looked_on,
        )
        for row in rows.order_by("number")
    )


def _for_kind(kind: str, shipment: Shipment) -> QuerySet[Finding]:
    rows = payable(Finding.objects.filter(shipment=shipment))
    if kind == "concealed":
        return rows.filter(could_be_seen=False).exclude(
            damage_kind__in=[*SHORTS, "wrong", "over", "defect"]
        )
    if kind == "shortage":
        return rows.filter(damage_kind__in=SHORTS)
    if kind == "protest":
        return rows.none()
    return rows


def _what(finding: Finding) -> str:
    where = finding.unit or finding.crate or ""
    part = f"{finding.part}, " if finding.part else ""
    name = f"{where}: " if where else ""
    return f"{name}{part}{finding.get_damage_kind_display()}"


def letter_of(notice: Notice) -> LetterContent:
    """Return a stored notice as the letter that is printed.

    ``notice`` comes with its shipment, and that with carrier, supplier, location. A
    letter that went out before letters were kept is drawn again, and says so.
    """
    shipment = notice.shipment
    location = shipment.location
    subject, _, body = notice.text.partition("\n\n")
    lines = (
        _supplier_lines(shipment)
        if notice.kind == "supplier"
        else claims_desk_lines(addressee_of(notice), below=notice.addressee)
    )
    if notice.kind == "disposition" and shipment.supplier:
        lines += (f"Copy to: {shipment.supplier.name}", *_supplier_lines(shipment))
    day = notice.sent_on or dock_day(notice.written_at, location.zone)
    signed = signed_text(
        body,
        name=str(notice.written_by),
        title=title_of(notice.written_by, location),
        sender=location.name,
    )
    return LetterContent(
        sender=sender_of(location),
        addressee=Party(notice.addressee, lines),
        date=in_full(day),
        references=(
            Row("Freight bill (PRO)", shipment.pro_number),
            Row("Bill of lading", shipment.bol_number),
        ),
        subject=subject,
        paragraphs=signed.paragraphs,
        signed_by=signed.name,
        signed_as=signed.title,
        paper="a4" if location.paper == "a4" else "letter",
        dated_on=day.isoformat(),
    )


def mail_address_of(notice: Notice) -> str:
    """Return the address that a notice is mailed to, or nothing where none is known."""
    shipment = notice.shipment
    if notice.kind == "supplier":
        return shipment.supplier.claims_email if shipment.supplier else ""
    return addressee_of(notice).claims_email


def copy_of(notice: Notice) -> LetterContent:
    """Return a letter that went out before letters were kept, marked as a copy."""
    letter = letter_of(notice)
    said = (
        "Copy drawn from the record. The letter itself was sent before letters were "
        "kept, so its letterhead may have been another."
    )
    return replace(
        letter,
        subject=f"Copy: {letter.subject}",
        paragraphs=(said, *letter.paragraphs),
    )


def title_of(person: User, location: Location) -> str:
    """Return the person's title here, for a signature; nothing where they have none."""
    roles = person.assignments.filter(location=location)
    held = set(roles.values_list("role", flat=True))
    return next((words for role, words in TITLES.items() if role in held), "")


def sender_of(location: Location) -> Party:
    """Return the location as the head of a letter."""
    return Party(location.name, tuple(location.address.splitlines()))


def carrier_party(claim: Claim) -> Party:
    """Return the carrier that the claim goes to, with its claims desk's address."""
    carrier = written_to(claim)
    lines = [*carrier.claims_address.splitlines(), carrier.claims_email]
    named = any("claims" in line.casefold() for line in lines[:1])
    first = () if named else ("Cargo Claims",)
    kept = [line for line in (*lines, carrier.claims_phone) if line]
    return Party(carrier.printed_name, (*first, *kept))


def supplier_party(shipment: Shipment) -> Party | None:
    """Return the supplier with the address of its claims contact, if it is known."""
    supplier = shipment.supplier
    return Party(supplier.name, _supplier_lines(shipment)) if supplier else None

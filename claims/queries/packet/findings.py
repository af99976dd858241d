"""What was found, the receipts as written, and each crate's custody."""

from claims.models import Finding
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import letter_day, letter_moment, plural
from claims.rules.bench.places import place_words
from claims.rules.packet.recorded import CustodyEntry, FindingEntry, ReceiptEntry
from inventory.models import Crate, Handover

_AT_DELIVERY = ("load", "look", "face", "label", "receipt")
_AT_OPENING = ("opening", "inside", "blocking", "damage")
_INSIDE = ("uncrating", "set-up")


def damage_words(row: Finding) -> str:
    """Return one finding in one line: "Deck shell, bent: ..."."""
    facts = " ".join(row.facts.split())
    return f"{title_words(row)}: {facts}".rstrip(". :")


def title_words(row: Finding) -> str:
    """Return what it is on and what is wrong: "Deck shell, bent"."""
    on = str(row.unit) if row.unit else "Crate" if row.crate_id else "Shipment"
    part = row.part[:1].upper() + row.part[1:]
    return f"{part or on}, {row.get_damage_kind_display()}"


def is_inside(row: Finding) -> bool:
    """Return whether this was inside a closed crate when the truck was here."""
    in_crate = bool(row.crate_id or (row.unit and row.unit.crate_id))
    crated = row.inspection.crate_condition != "none"
    on_machine = row.unit_id is not None
    return in_crate and crated and on_machine and row.inspection.stage in _INSIDE


def seen_at_delivery(row: Finding) -> str:
    """Return whether it was to be seen at delivery; inside a closed crate never."""
    if is_inside(row):
        return "No: inside a closed crate"
    return "Yes" if row.could_be_seen else "No"


def finding_entries(gathered: Gathered) -> tuple[FindingEntry, ...]:
    """Return each finding with its exhibits, the crate first, numbered from 1."""
    return tuple(
        FindingEntry(
            number=str(number),
            title=title_words(row),
            subject=_subject(row),
            stage=row.inspection.get_stage_display(),
            severity=row.get_severity_display(),
            found=f"{letter_day(row.inspection.looked_on)}, by {row.recorded_by}",
            facts=row.facts,
            seen_at_delivery=seen_at_delivery(row),
            faces=tuple(face for face in row.faces.split(",") if face),
            exhibits=gathered.exhibits_of(list(row.photos.all())),
        )
        for number, row in enumerate(gathered.findings, start=1)
    )


def receipt_entries(gathered: Gathered) -> tuple[ReceiptEntry, ...]:
    """Return the exceptions on each delivery's receipt, verbatim."""
    return tuple(
        receipt_entry(
            row,
            gathered.exhibits_of(
                [
                    one
                    for one in gathered.files
                    if one.kind in {"receipt", "carrier-image"}
                    and one.delivery_id in {row.delivery_id, None}
                ]
            ),
        )
        for row in gathered.handovers
    )


def receipt_entry(row: Handover, exhibits: tuple[int, ...]) -> ReceiptEntry:
    """Return one delivery's receipt: what was written, on which copies, how it ended."""
    delivery = row.delivery
    pieces = row.pieces_counted
    counted = f", {plural(pieces, 'piece')} counted" if pieces is not None else ""
    return ReceiptEntry(
        delivery=f"{letter_day(delivery.arrived_on)}, {delivery.carrier}{counted}",
        words=row.words_full,
        written_on=row.closing.get_words_stand_on_display() if row.words_full else "",
        how_signed=_ended(row),
        driver=row.closing.driver_signed_name or delivery.driver_name,
        exhibits=exhibits,
    )


def _ended(row: Handover) -> str:
    if not row.words_full and row.ending == "bare":
        return "Signed"
    witness = f". Witness: {row.witness_name}" if row.witness_name else ""
    return f"{row.ending_words}{witness}"


def stood_crates(gathered: Gathered) -> list[Crate]:
    """Return the crates with damage inside that was found after the day of delivery."""
    found: dict[int, Crate] = {}
    for row in gathered.findings:
        crate = row.crate or (row.unit.crate if row.unit else None)
        delivered = min((one.arrived_on for one in gathered.deliveries), default=None)
        if crate and delivered and is_inside(row):
            noticed = [one.sent_on for one in gathered.notices if one.sent_on]
            late = [*noticed[:1], row.inspection.looked_on, crate.opened_on]
            if any(day and day > delivered for day in late):
                found[crate.pk] = crate
    return list(found.values())


def custody_entries(gathered: Gathered) -> tuple[CustodyEntry, ...]:
    """Return the custody of each crate that stood before it was opened."""
    claim = gathered.claim
    days = [
        letter_moment(row.arrived_at, claim.location) for row in gathered.deliveries
    ]
    return tuple(
        CustodyEntry(
            crate=str(crate),
            delivered="; ".join(days),
            opened=letter_moment(crate.opened_at, claim.location)
            if crate.opened_at
            else letter_day(crate.opened_on),
            unopened="The crate was not opened between delivery and this opening."
            if claim.stood_unopened
            else "",
            kept_at=claim.stood_at,
            moves=claim.stood_moves,
            at_delivery=gathered.exhibits_where(*_AT_DELIVERY, crate=crate.pk),
            at_opening=gathered.exhibits_where(*_AT_OPENING, crate=crate.pk),
        )
        for crate in stood_crates(gathered)
    )


def _subject(row: Finding) -> str:
    """Return what the finding is on, and where on the machine."""
    where = place_words(row.places)
    return f"{row.unit or row.crate or row.shipment}{f': {where}' if where else ''}"

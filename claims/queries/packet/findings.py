"""What was found, the receipts as written, and each crate's custody."""

from claims.models import Finding
from claims.queries.core.found import is_inside, title_words
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import letter_day, letter_moment, plural
from claims.rules.bench.places import place_words
from claims.rules.packet.recorded import CustodyEntry, FindingEntry, ReceiptEntry
from inventory.models import Crate, Evidence, Handover
from inventory.rules.reckoning.moments import dock_day

_AT_DELIVERY = ("load", "look", "face", "label", "receipt")
_AT_OPENING = ("opening", "inside", "blocking", "damage")
_WHENEVER = "damage"
_WITH_THE_TRUCK = frozenset({"tailgate", "count"})


def damage_words(row: Finding) -> str:
    """Return one finding in one line: "Deck shell, bent: ..."."""
    facts = " ".join(row.facts.split())
    return f"{title_words(row)}: {facts}".rstrip(". :")


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
            at_delivery=photos[0],
            at_opening=photos[1],
        )
        for crate in stood_crates(gathered)
        for photos in [_photos_of(gathered, crate)]
    )


def _photos_of(
    gathered: Gathered, crate: Crate
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the exhibits that show the crate at delivery, and those at its opening.

    A close-up of damage may be either. What was seen with the truck here was taken
    before the crate was opened, and the paper must not say otherwise.
    """
    before, after = [], []
    for row in gathered.files:
        if row.crate_id not in {crate.pk, None}:
            continue
        is_early = row.kind == _WHENEVER and _is_before(gathered, row, crate)
        if row.kind in _AT_DELIVERY or is_early:
            before.append(row)
        elif row.kind in _AT_OPENING:
            after.append(row)
    return gathered.exhibits_of(before), gathered.exhibits_of(after)


def _is_before(gathered: Gathered, photo: Evidence, crate: Crate) -> bool:
    """Return whether the photo is older than the opening: its findings say, else we."""
    stages = {
        row.inspection.stage
        for row in gathered.findings
        if any(one.pk == photo.pk for one in row.photos.all())
    }
    if stages:
        return bool(stages & _WITH_THE_TRUCK)
    if crate.opened_at:
        return photo.received_at < crate.opened_at
    received = dock_day(photo.received_at, gathered.claim.location.zone)
    return bool(crate.opened_on and received < crate.opened_on)


def _subject(row: Finding) -> str:
    """Return what the finding is on, and where on the machine."""
    where = place_words(row.places)
    return f"{row.unit or row.crate or row.shipment}{f': {where}' if where else ''}"

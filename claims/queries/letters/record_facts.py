"""What is on file about a claim's delivery and goods, for a letter that quotes it."""

from collections.abc import Sequence
from datetime import date

from django.db.models import Prefetch

from claims.models import Claim, ClaimLine, Deadline, Finding, Notice, PartTag
from claims.queries.claim.proof import evidence_of
from claims.queries.core.found import is_inside, title_words
from claims.queries.letters.exhibit_numbers import exhibit_numbers
from claims.rules.claim.closing import ClaimSheet
from claims.rules.letters.record_facts import (
    Custody,
    Filed,
    Found,
    Noticed,
    Receipt,
    RecordFacts,
)
from inventory.models import Crate, Evidence, Handover, Hold, PackagingHold, Unit
from inventory.rules.reckoning.moments import dock_day

_NOT_QUOTED = ("nowhere", "own-handling", "set-up")
_ANSWERED = ("inspected", "waived")
_EXCEPTED = ("exception", "refused")


def record_facts(
    claim: Claim, lines: Sequence[ClaimLine], sheet: ClaimSheet | None
) -> RecordFacts:
    """Return the record behind these lines of the claim, read once.

    ``claim`` comes with its shipment and location; the lines with unit and finding.
    """
    shipment, location = claim.shipment, claim.location
    files = evidence_of(shipment)
    numbers = exhibit_numbers(claim)
    findings = list(_findings(claim))
    handovers = _handovers(claim)
    crates = list(Crate.objects.filter(shipment=shipment).order_by("number"))
    quoted = _quoted(findings, lines)
    excepted = _excepted(shipment.pieces_billed, handovers, crates, findings)
    units = {line.unit.pk: line.unit for line in lines if line.unit}
    holds = list(Hold.objects.filter(unit__in=units).order_by("pk"))
    packaging = list(
        PackagingHold.objects.filter(crate__shipment=shipment).order_by("pk")
    )
    due = _due(claim)
    inspections = [
        *(
            (row.released_how, dock_day(row.released_at, location.zone))
            for row in holds
            if row.released_at
        ),
        *((row.released_how, row.released_on) for row in packaging if row.released_on),
    ]
    return RecordFacts(
        files=tuple(_filed(row, numbers, claim) for row in files),
        receipts=tuple(_receipt(row, excepted) for row in handovers),
        findings=tuple(_found(row, numbers) for row in quoted),
        notices=_notices(claim, due.get("concealed-notice")),
        custody=_custody(claim, quoted),
        inspections=tuple(
            dict.fromkeys((how, on) for how, on in inspections if how in _ANSWERED)
        ),
        asked_on=tuple(
            row.carrier_asked_on for row in packaging if row.carrier_asked_on
        ),
        inspect_at=claim.inspect_at or _address(claim),
        is_held=any(row.released_at is None for row in holds),
        unmarked=_unmarked(crates, findings),
        new_machines=tuple(
            str(unit) for unit in units.values() if unit.condition == "new"
        ),
        pieces=shipment.pieces_billed or 0,
        piece_unit=shipment.piece_unit,
        has_shortage=any(line.outcome == "short" for line in lines),
        filed_in_time=_in_time(claim.received_on, due.get("claim")),
        freight_payer=shipment.freight_payer,
        released_cents_per_lb=shipment.released_value_cents_per_lb or 0,
        limit_cents=_limit(sheet),
        weights=tuple(_weight(unit) for unit in units.values() if unit.weight),
        salvage=claim.salvage_held,
        salvage_cents=_salvage(lines),
        parts_kept=_parts_kept(lines),
        refused=tuple(str(row) for row in crates if row.look == "refused"),
    )


def _filed(row: Evidence, numbers: dict[str, int], claim: Claim) -> Filed:
    day = dock_day(row.received_at, claim.location.zone)
    return Filed(row.kind, day, numbers.get(row.original_id, 0))


def _handovers(claim: Claim) -> list[Handover]:
    rows = Handover.objects.filter(shipment=claim.shipment)
    return list(rows.select_related("delivery").order_by("delivery__arrived_at", "pk"))


def _excepted(
    billed: int | None,
    handovers: Sequence[Handover],
    crates: Sequence[Crate],
    findings: Sequence[Finding],
) -> set[int | None]:
    """Return the trucks whose receipt has an exception; the text alone does not say.

    A receipt without one has words too: the count, and that no damage is visible.
    """
    counts = [row.pieces_counted for row in handovers]
    differs = billed and None not in counts and sum(filter(None, counts)) != billed
    return {
        *(row.delivery_id for row in handovers if differs),
        *(row.delivery_id for row in crates if row.look in _EXCEPTED or row.is_over),
        *(
            row.delivery_id
            for row in findings
            if row.inspection.stage == "tailgate" and row.route not in _NOT_QUOTED
        ),
    }


def _receipt(row: Handover, excepted: set[int | None]) -> Receipt:
    truck = row.delivery
    return Receipt(
        on=truck.arrived_on,
        words=row.words_full if truck.pk in excepted else "",
        ending=row.ending,
        copies=row.closing.words_stand_on,
        driver=row.closing.driver_signed_name or truck.driver_name,
        witness=row.witness_name,
        pod=row.carrier_image,
        counted=row.pieces_counted,
        trailer=truck.trailer_number,
        seal=truck.seal_number,
        seal_condition=truck.seal_condition,
        unloaded_by=truck.unloaded_by,
        unloaded_with=truck.unloaded_with,
        on_trailer=truck.damaged_on_trailer,
    )


def _findings(claim: Claim) -> list[Finding]:
    """Return every finding of the freight bill that proved to be something."""
    photos = Prefetch("photos", Evidence.objects.order_by("received_at", "id"))
    rows = Finding.objects.filter(shipment=claim.shipment).exclude(route="nowhere")
    return list(
        rows.select_related("inspection", "unit__crate", "crate")
        .prefetch_related(photos)
        .order_by("number")
    )


def _quoted(findings: Sequence[Finding], lines: Sequence[ClaimLine]) -> list[Finding]:
    """Return the findings of these lines and those on their crates, the crate first."""
    claimed = {line.finding_id for line in lines}
    own = [row for row in findings if row.pk in claimed]
    crates = {row.crate_id for row in own} | {
        row.unit.crate_id for row in own if row.unit
    }
    around = [
        row
        for row in findings
        if row.crate_id in crates - {None}
        and row.unit_id is None
        and row.pk not in claimed
        and row.route not in _NOT_QUOTED
    ]
    return sorted(
        [*around, *own], key=lambda row: (row.unit_id is not None, row.number)
    )


def _found(row: Finding, numbers: dict[str, int]) -> Found:
    return Found(
        what=title_words(row),
        facts=" ".join(row.facts.split()),
        on=row.inspection.looked_on,
        kind=row.damage_kind,
        exhibits=tuple(
            numbers[photo.original_id]
            for photo in row.photos.all()
            if photo.original_id in numbers
        ),
        is_on_crate=row.unit_id is None and row.crate_id is not None,
        at_delivery=row.inspection.stage == "tailgate",
        is_inside=is_inside(row),
    )


def _due(claim: Claim) -> dict[str, date]:
    """Return the earliest due day of notice and claim on this freight bill."""
    rows = Deadline.objects.filter(
        shipment=claim.shipment,
        duty__in=("concealed-notice", "claim"),
        superseded_at=None,
    )
    return dict(rows.order_by("-due").values_list("duty", "due"))


def _in_time(received_on: date | None, due: date | None) -> bool:
    return bool(received_on and due and received_on <= due)


def _notices(claim: Claim, due: date | None) -> tuple[Noticed, ...]:
    rows = Notice.objects.filter(
        shipment=claim.shipment,
        sent_on__isnull=False,
        kind__in=("concealed", "protest"),
    )
    return tuple(
        Noticed(
            kind=row.kind,
            sent_on=row.sent_on,
            how=row.sent_how,
            received_on=row.received_on,
            proof=row.receipt_words,
            in_time=row.kind == "concealed" and _in_time(row.received_on, due),
        )
        for row in rows.order_by("sent_on", "pk")
        if row.sent_on
    )


def _custody(claim: Claim, findings: Sequence[Finding]) -> tuple[Custody, ...]:
    """Return the crates that were certified unopened, each with damage inside."""
    if not (claim.stood_unopened and claim.stood_at and claim.stood_moves):
        return ()
    crates = {
        crate.pk: crate
        for row in findings
        if is_inside(row) and (crate := row.crate or (row.unit and row.unit.crate))
    }
    return tuple(
        Custody(str(crate), crate.opened_on, claim.stood_at, claim.stood_moves)
        for crate in crates.values()
        if crate.opened_on
    )


def _unmarked(crates: Sequence[Crate], findings: Sequence[Finding]) -> int:
    """Return how many crates showed nothing at delivery, and hold nothing damaged."""
    hurt = {row.crate_id for row in findings} | {
        row.unit.crate_id for row in findings if row.unit
    }
    return sum(row.look == "clear" and row.pk not in hurt for row in crates)


def _limit(sheet: ClaimSheet | None) -> int | None:
    """Return the limit where the whole loss is within it."""
    if sheet is None or sheet.limit_cents is None:
        return None
    return sheet.limit_cents if sheet.claimed_cents <= sheet.limit_cents else None


def _weight(unit: Unit) -> str:
    return f"{unit.model}, {unit.weight} {unit.weight_unit}"


def _salvage(lines: Sequence[ClaimLine]) -> int:
    """Return what was taken off for salvage, on lines that nobody adjusted."""
    return sum(
        line.salvage_cents
        for line in lines
        if line.adjusted_cents is None and line.outcome in {"total", "as-is"}
    )


def _parts_kept(lines: Sequence[ClaimLine]) -> tuple[str, ...]:
    rows = PartTag.objects.filter(
        finding__in=[line.finding_id for line in lines if line.finding_id],
        scrapped_at=None,
        collected_on=None,
    )
    return tuple(
        f"tag T-{row.number:04d}, {row.part}" for row in rows.order_by("number")
    )


def _address(claim: Claim) -> str:
    lines = claim.location.address.splitlines()
    return ", ".join([claim.location.name, *(line for line in lines if line.strip())])

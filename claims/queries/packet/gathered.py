"""What every part of a claim file is read from, read once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimLine, Finding, FindingPart, FindingPhoto, Notice
from claims.queries.claim.proof import Covered, evidence_of
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.rules.claim.closing import ClaimSheet
from inventory.models import Delivery, Evidence, Handover, Hold, User

LEFT_OUT = frozenset({"crate-check", "carrier-letter"})
"""Kinds of files that are no evidence of the loss: deposits, and the carrier's own."""

_ORDER = (
    *("bill-of-lading", "packing-list", "freight-bill", "freight-paid"),
    *("load", "look", "label", "face", "receipt", "carrier-image"),
    *("opening", "inside", "blocking", "damage"),
    *("inspection-report", "inspection-waiver", "proof-of-receipt"),
    *("supplier-invoice", "repair-estimate", "origin-condition", "non-receipt"),
    *("statement", "supplier-paper"),
    "other",
)
_ON_THE_CRATE = _ORDER.index("look")
_ON_THE_MACHINE = _ORDER.index("damage")


@dataclass(frozen=True)
class Gathered:
    """The rows of one claim. ``numbers`` gives each file's exhibit number."""

    claim: Claim
    person: User
    as_of: date
    lines: tuple[ClaimLine, ...]
    sheet: ClaimSheet
    findings: tuple[Finding, ...]
    files: tuple[Evidence, ...]
    deliveries: tuple[Delivery, ...]
    handovers: tuple[Handover, ...]
    notices: tuple[Notice, ...]
    holds: tuple[Hold, ...]
    numbers: dict[str, int]

    def exhibits_of(self, files: Sequence[Evidence]) -> tuple[int, ...]:
        """Return the exhibit numbers of these files, each once, in order."""
        keys = {str(row.pk) for row in files}
        return tuple(sorted(self.numbers[key] for key in keys if key in self.numbers))

    def exhibits_where(self, *kinds: str) -> tuple[int, ...]:
        """Return the exhibit numbers of the files of these kinds."""
        return self.exhibits_of([row for row in self.files if row.kind in kinds])


def gather(claim: Claim, *, person: User, as_of: date) -> Gathered | None:
    """Read a claim's rows for its file; None for a claim without lines.

    ``claim`` comes with its shipment, and that with carrier, supplier and location.
    Raise DamagesError where the lines contradict each other.
    """
    lines = counted_lines(claim)
    sheet = sheet_of(claim, lines)
    if sheet is None:
        return None
    shipment = claim.shipment
    findings = findings_of(lines)
    files = in_order(_about(evidence_of(shipment), lines, findings), findings)
    return Gathered(
        claim=claim,
        person=person,
        as_of=as_of,
        lines=tuple(lines),
        sheet=sheet,
        findings=tuple(findings),
        files=tuple(files),
        deliveries=tuple(
            Delivery.bringing(shipment)
            .select_related("carrier")
            .order_by("arrived_at", "pk")
        ),
        handovers=tuple(
            Handover.objects.filter(shipment=shipment)
            .select_related("delivery__carrier")
            .order_by("delivery__arrived_at", "pk")
        ),
        notices=tuple(
            Notice.objects.filter(shipment=shipment, sent_on__isnull=False)
            .exclude(kind__in=["supplier", "disposition"])
            .order_by("sent_on", "pk")
        ),
        holds=tuple(
            Hold.objects.filter(unit__shipment=shipment)
            .select_related("unit")
            .order_by("pk")
        ),
        numbers={str(row.pk): number for number, row in enumerate(files, start=1)},
    )


def _about(
    files: Sequence[Evidence], lines: Sequence[ClaimLine], findings: Sequence[Finding]
) -> list[Evidence]:
    """Leave out what shows the bill's other machines alone.

    The load and the documents stay, and every photo of a finding of this claim.
    """
    covered = Covered.by(lines)
    if covered.is_whole_bill:
        return list(files)
    ours = {photo.pk for row in findings for photo in row.photos.all()}
    others = FindingPhoto.objects.filter(evidence__in=[row.pk for row in files])
    theirs = set(others.values_list("evidence_id", flat=True)) - ours
    return [
        row
        for row in files
        if row.pk in ours
        or (row.pk not in theirs and covered.holds(row.unit_id, row.crate_id))
    ]


def findings_of(lines: Sequence[ClaimLine]) -> list[Finding]:
    """Return the findings of these lines and those on their crates, the crate first.

    The crate's damage shows how the machine's came about, so it goes along where
    nobody claims the crate itself.
    """
    ids = [line.finding_id for line in lines if line.finding_id]
    crates = {row for row in _crates_of(lines) if row is not None}
    rows = _joined_findings()
    claimed = list(rows.filter(pk__in=ids))
    around = list(
        rows.filter(crate__in=crates, unit=None)
        .exclude(pk__in=ids)
        .exclude(route="nowhere")
        .exclude(damage_kind__in=["over"])
    )
    return sorted(
        [*claimed, *around], key=lambda row: (row.unit_id is not None, row.number)
    )


def _crates_of(lines: Sequence[ClaimLine]) -> list[int | None]:
    found: list[int | None] = [line.unit.crate_id for line in lines if line.unit]
    return [*found, *(line.finding.crate_id for line in lines if line.finding)]


def _joined_findings() -> QuerySet[Finding]:
    photos = (
        Evidence.objects.select_related("original", "recorded_by")
        .prefetch_related("markups", "readings")
        .order_by("received_at", "id")
    )
    return (
        Finding.objects.select_related(
            "inspection__looked_by", "unit__crate", "crate", "recorded_by", "shipment"
        )
        .prefetch_related(
            Prefetch("photos", photos),
            Prefetch("parts", FindingPart.objects.all()),
            "booked",
        )
        .order_by("number")
    )


def in_order(files: Sequence[Evidence], findings: Sequence[Finding]) -> list[Evidence]:
    """Return the files as exhibits: papers, the crate, the receipt, then the machine.

    A photo of damage goes with what it shows, whatever its kind; hidden files are not
    among ``files``.
    """
    of_crate = {
        p.pk for row in findings if row.unit_id is None for p in row.photos.all()
    }
    of_machine = {p.pk for row in findings if row.unit_id for p in row.photos.all()}

    def place(row: Evidence) -> tuple[int, object, str]:
        kind = _ORDER.index(row.kind) if row.kind in _ORDER else len(_ORDER)
        if row.pk in of_crate:
            kind = _ON_THE_CRATE
        elif row.pk in of_machine:
            kind = _ON_THE_MACHINE
        return kind, row.received_at, str(row.pk)

    return sorted((row for row in files if row.kind not in LEFT_OUT), key=place)

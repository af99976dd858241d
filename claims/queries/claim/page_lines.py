"""The lines of a claim's page: each with its steps, its repair and its photo."""

from dataclasses import dataclass

from django.db.models import Prefetch

from claims.models import Claim, ClaimLine
from claims.queries.core.facts import Labor, estimate_of, labor_of, was_sent
from claims.rules.claim.closing import ClaimSheet, SheetLine
from claims.rules.claim.life import LIFE
from claims.rules.damages.outcomes import NOT_REPAIRED
from inventory.models import Evidence


@dataclass(frozen=True)
class PageLine:
    """One line with its steps; ``sheet`` is None for a removed one.

    ``labor`` is the time in its repair, ``parts`` its parts, ``estimate_cents`` the estimate as it is now
    where that is no longer what the line was made of.
    """

    line: ClaimLine
    sheet: SheetLine | None
    is_sent: bool
    labor: Labor | None
    parts: str
    parts_cents: int
    estimate_cents: int | None

    @property
    def photo(self) -> Evidence | None:
        """Return the photo that stands beside it: the first of damage, else any."""
        photos = list(self.line.finding.photos.all()) if self.line.finding else []
        damage = [one for one in photos if one.kind == "damage"]
        return next(iter([*damage, *photos]), None)


def page_lines(claim: Claim, sheet: ClaimSheet | None) -> tuple[PageLine, ...]:
    """Return every line of a claim, in a fixed number of queries."""
    by_number = {row.number: row for row in sheet.lines} if sheet else {}
    pictures = Evidence.objects.filter(original__media_type__startswith="image/")
    rows = (
        claim.lines.select_related("finding", "unit", "claim", "return_line__crate")
        .prefetch_related(
            "claim__supplement_rows",
            "finding__booked",
            "finding__parts",
            Prefetch("finding__photos", pictures.order_by("received_at", "pk")),
        )
        .order_by("supplement", "number")
    )
    rate = claim.location.shop_rate_in(claim.currency)
    return tuple(
        PageLine(
            line=row,
            sheet=None if row.struck_reason else by_number.get(row.number),
            is_sent=was_sent(row),
            labor=labor_of(row.finding, rate) if _is_repaired(row) else None,
            parts=_parts(row) if _is_repaired(row) else "",
            parts_cents=estimate_of(row.finding, rate).parts_cents
            if row.finding and _is_repaired(row)
            else 0,
            estimate_cents=_changed_estimate(row, rate),
        )
        for row in rows
    )


def _is_repaired(row: ClaimLine) -> bool:
    return row.outcome not in NOT_REPAIRED and not row.struck_reason


def _parts(row: ClaimLine) -> str:
    parts = row.finding.parts.all() if row.finding else ()
    return ", ".join(f"{part.quantity} {part.description}" for part in parts)


def _changed_estimate(row: ClaimLine, rate: int) -> int | None:
    is_over = row.claim.state in LIFE.final
    if row.finding is None or is_over or not _is_repaired(row):
        return None
    now = estimate_of(row.finding, rate).total_cents
    return None if now == row.repair_cents else now

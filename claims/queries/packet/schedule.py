"""The schedule of a claim's lines with the arithmetic shown."""

from collections.abc import Sequence

from claims.models import Claim, ClaimLine
from claims.queries.packet.text import step_texts
from claims.rules.claim.closing import ClaimSheet, SheetLine
from claims.rules.core.vocabulary import VALUE_BASES
from claims.rules.packet.content import Line, Schedule
from inventory.rules.reckoning.money import format_cents

_WHY = {
    "invoice": "The machines were bought for resale and not sold: the supplier's invoice, "
    "net of discounts, proves their value. Freight that the claimant paid is "
    "added to total and short lines only, never to repairs.",
    "destination": "The value at destination when the goods should have arrived, which already "
    "includes the freight.",
}


def schedule_of(
    claim: Claim, lines: Sequence[ClaimLine], sheet: ClaimSheet
) -> Schedule:
    """Return the lines as claimed, the worksheet and the limits."""
    return Schedule(
        basis=f"{VALUE_BASES[claim.basis]}. {_WHY[claim.basis]}",
        lines=tuple(
            _line(line, own, claim.currency)
            for line, own in zip(lines, sheet.lines, strict=True)
        ),
        worksheet=step_texts(sheet.closing, claim.currency),
        limits=_limits(sheet),
    )


def _line(line: ClaimLine, own: SheetLine, currency: str) -> Line:
    amount = format_cents(own.claimed_cents, currency)
    note = own.note
    if own.claimed_cents != own.worked_cents:
        worked = format_cents(own.worked_cents, currency)
        note = f"Calculated {worked}, claimed {amount}: {own.note}"
    elif note:
        note = f"Changed: {note}"
    extra = f" (supplement {line.supplement})" if line.supplement else ""
    machine = f"{line.unit}. " if line.unit else ""
    return Line(
        number=str(line.number),
        label=f"{machine}{line.label}{extra}",
        outcome=line.get_outcome_display(),
        steps=step_texts(own.steps, currency),
        amount=amount,
        note=note,
    )


def _limits(sheet: ClaimSheet) -> tuple[str, ...]:
    # What we expect to recover is on our own page, never in a letter to the carrier.
    found = []
    if sheet.limit_words:
        found.append(f"{sheet.limit_words} {sheet.limit_authority}.")
    found.append(
        "A limit is a ceiling and not a ratio. The full loss is what is claimed; the "
        "claimant does not concede that any limit applies."
    )
    return tuple(found)

"""The schedule of a claim's lines: parts, labor, and the arithmetic to the demand."""

from claims.models import ClaimLine, Finding
from claims.queries.core.facts import minutes_of
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import joined
from claims.queries.packet.way_home import home_basis, return_of
from claims.rules.bench.estimates import labor_cents
from claims.rules.claim.closing import SheetLine
from claims.rules.core.vocabulary import VALUE_BASES
from claims.rules.packet.loss import AmountRow, Line, Schedule, Step
from inventory.rules.reckoning.money import format_cents

_WHY = {
    "invoice": "The supplier's invoice, net of discounts, shows the value.",
    "destination": "The value is that at destination on the day of delivery.",
}
_LAST = {"us": "Amount claimed", "supplier": "Amount of the loss"}
_MOST_ROWS = 12


def schedule_of(gathered: Gathered) -> Schedule:
    """Return the lines as claimed and the worksheet to the demand."""
    claim = gathered.claim
    home = return_of(gathered)
    basis = f"{VALUE_BASES[claim.basis]}. {_WHY[claim.basis]}"
    return Schedule(
        basis=home_basis(home) if home else basis,
        lines=tuple(
            _line(line, own, gathered)
            for line, own in zip(gathered.lines, gathered.sheet.lines, strict=True)
        ),
        worksheet=worksheet(gathered),
    )


def worksheet(gathered: Gathered) -> tuple[Step, ...]:
    """Return the steps from the lines to the amount demanded."""
    sheet, currency = gathered.sheet, gathered.claim.currency
    recovered = format_cents(-sheet.recovered_cents, currency)
    return (
        Step("All lines", format_cents(sheet.claimed_cents, currency)),
        Step(
            "Less sums already recovered"
            if sheet.recovered_cents
            else "Sums recovered: none",
            recovered,
        ),
        Step(
            _LAST[gathered.claim.claimant],
            format_cents(sheet.demanded_cents, currency),
            is_total=True,
        ),
    )


def statement_rows(gathered: Gathered) -> tuple[AmountRow, ...]:
    """Return parts and labor where they add up to their line, else the line as one.

    Where there are many, each line is one row: the schedule has the rest.
    """
    split: list[AmountRow] = []
    whole: list[AmountRow] = []
    for line, own in zip(gathered.lines, gathered.sheet.lines, strict=True):
        row = _whole(line, own, gathered.claim.currency)
        whole.append(row)
        parts, cents = parts_of(line, gathered)
        split += parts if parts and cents == own.claimed_cents else [row]
    return tuple(split if len(split) <= _MOST_ROWS else whole)


def parts_of(line: ClaimLine, gathered: Gathered) -> tuple[list[AmountRow], int]:
    """Return a repair's parts and labor, and what they come to in cents."""
    finding = next((f for f in gathered.findings if f.pk == line.finding_id), None)
    if finding is None or line.outcome != "repair":
        return [], 0
    currency = gathered.claim.currency
    rows, total = [], 0
    for part in finding.parts.all():
        cents = (part.price_cents or 0) * part.quantity
        total += cents
        rows.append(
            AmountRow(
                line=str(line.number),
                text=joined(part.description, part.part_number),
                quantity=str(part.quantity),
                unit_price=format_cents(part.price_cents or 0, currency),
                amount=format_cents(cents, currency),
            )
        )
    labor, cents = _labor(line, finding, gathered)
    return [*rows, *labor], total + cents


def _labor(
    line: ClaimLine, finding: Finding, gathered: Gathered
) -> tuple[list[AmountRow], int]:
    minutes = minutes_of(finding)
    rate = finding.rate_cents
    currency = gathered.claim.currency
    rate = gathered.claim.location.shop_rate_in(currency) if rate is None else rate
    if not minutes:
        return [], 0
    cents = labor_cents(minutes=minutes, rate_cents=rate or 0)
    hours, left = divmod(minutes, 60)
    row = AmountRow(
        line=str(line.number),
        text="Labor, at the rate of an hour",
        quantity=f"{hours} h {left:02d} min" if left else f"{hours} h",
        unit_price=format_cents(rate or 0, currency),
        amount=format_cents(cents, currency),
    )
    return [row], cents


def _whole(line: ClaimLine, own: SheetLine, currency: str) -> AmountRow:
    return AmountRow(
        line=str(line.number),
        text=_label(line),
        quantity="",
        unit_price="",
        amount=format_cents(own.claimed_cents, currency),
    )


def _label(line: ClaimLine) -> str:
    machine = f"{line.unit}. " if line.unit else ""
    extra = f" (supplement {line.supplement})" if line.supplement else ""
    return f"{machine}{line.label}, {line.get_outcome_display().lower()}{extra}"


def _line(line: ClaimLine, own: SheetLine, gathered: Gathered) -> Line:
    currency = gathered.claim.currency
    parts, cents = parts_of(line, gathered)
    if cents != line.repair_cents:  # priced otherwise since the line was made
        parts = []
    return Line(
        number=str(line.number),
        label=_label(line),
        outcome=line.get_outcome_display(),
        parts=tuple(parts),
        steps=_steps(own, currency, has_parts=bool(parts)),
        amount=format_cents(own.claimed_cents, currency),
    )


def _steps(own: SheetLine, currency: str, *, has_parts: bool) -> tuple[Step, ...]:
    """Return the steps that have an amount, without notes; they add up to the line."""
    kept = [
        (step.text, step.cents)
        for step in own.steps
        if step.cents and not step.is_total
    ]
    left = own.claimed_cents - sum(cents for _, cents in kept)
    if left:
        by_us = own.claimed_cents != own.worked_cents
        kept.append(
            ("Claimed otherwise" if by_us else "To the value of the article", left)
        )
    if has_parts and len(kept) == 1 and not left:
        kept = []
    claimed = format_cents(own.claimed_cents, currency)
    return (
        *(Step(text, format_cents(cents, currency)) for text, cents in kept),
        Step("Claimed on this line", claimed, is_total=True),
    )

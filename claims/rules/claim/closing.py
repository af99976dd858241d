"""The closing of a claim: adjusted lines, the limit shown with the loss, the demand.

The demand is the full loss less what was already recovered: nothing is claimed
twice. The limit never changes the demand; it shows what to expect.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from claims.rules.damages.facts import Step
from claims.rules.damages.limits import PROBLEMS
from claims.rules.damages.measure import Worksheet


@dataclass(frozen=True)
class SheetLine:
    """One line of the claim, in cents; ``note`` explains a change."""

    number: int
    worked_cents: int
    claimed_cents: int
    steps: tuple[Step, ...]
    note: str = ""


@dataclass(frozen=True)
class ClaimSheet:
    """The closing of a claim, in cents.

    ``closing`` leads from the lines to the demand. ``limits`` are the steps
    from the limit to what can be expected. ``limit_cents`` is None where no
    limit is known.
    """

    lines: tuple[SheetLine, ...]
    claimed_cents: int
    recovered_cents: int
    demanded_cents: int
    limit_cents: int | None
    expected_cents: int
    closing: tuple[Step, ...]
    limits: tuple[Step, ...]
    limit_words: str
    limit_authority: str


def close_claim(sheet: Worksheet, lines: Sequence[SheetLine]) -> ClaimSheet:
    """Return the claim's closing over its worksheet and its lines as adjusted.

    ``lines`` are in the worksheet's order.
    """
    claimed = sum(line.claimed_cents for line in lines)
    demanded = max(claimed - sheet.recovered_cents, 0)
    ceiling = sheet.limit_cents
    expected = claimed if ceiling is None else min(claimed, ceiling)
    record = sheet.limit.record
    return ClaimSheet(
        lines=tuple(lines),
        claimed_cents=claimed,
        recovered_cents=sheet.recovered_cents,
        demanded_cents=demanded,
        limit_cents=ceiling,
        expected_cents=max(expected - sheet.recovered_cents, 0),
        closing=_closing(sheet, claimed, demanded),
        limits=_limits(sheet, expected),
        limit_words=record.words if record else "",
        limit_authority=f"{record.authority} ({record.confidence})" if record else "",
    )


def _closing(sheet: Worksheet, claimed: int, demanded: int) -> tuple[Step, ...]:
    steps = []
    for step in sheet.steps:
        if step.is_total:
            break
        steps.append(step)
    if claimed != sheet.claimed_cents:
        steps.append(Step("All lines, as calculated", sheet.claimed_cents))
        steps.append(
            Step(
                "Adjusted, with the reason on each line", claimed - sheet.claimed_cents
            )
        )
    steps.append(Step("Full loss, all lines", claimed, is_total=True))
    if sheet.recovered_cents:
        steps.append(Step("less already recovered", -sheet.recovered_cents))
    steps.append(Step("Amount demanded", demanded, is_total=True))
    return tuple(steps)


def _limits(sheet: Worksheet, expected: int) -> tuple[Step, ...]:
    steps = list(sheet.limit.steps)
    if sheet.limit.problem:
        steps.append(Step(PROBLEMS[sheet.limit.problem].removesuffix(".")))
    if sheet.limit_cents is not None:
        words = (
            "The loss is below the limit. A limit is a ceiling, never a ratio"
            if expected < sheet.limit_cents
            else "The loss is above the limit, so the limit is the most to expect"
        )
        steps.append(Step(words))
    if sheet.recovered_cents:
        steps.append(Step("less already recovered", -sheet.recovered_cents))
    left = max(expected - sheet.recovered_cents, 0)
    steps.append(Step("Expected recovery under the limit", left, is_total=True))
    return tuple(steps)

"""What the carrier and we answer each other: offers, denials, inspections, documents."""

from dataclasses import dataclass
from datetime import date

from claims.actions.claim.overlap import require_release
from claims.actions.claim.steps import Step, Write, take
from claims.models import Claim
from claims.rules.claim.life import ACKNOWLEDGED, DISALLOWED, RECEIVED
from claims.rules.core.vocabulary import INSPECTION_ENDS, PERMISSIONS, SENT_HOW
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class Denial:
    """A written denial. ``cents`` is the amount declined, None for the whole claim.

    ``with_offer`` means that the same letter offers something.
    """

    reason_key: str = ""
    cents: int | None = None
    with_offer: bool = False


def record_offer(
    *, claim: Claim, cents: int, step: Step, by_day: date | None = None
) -> Claim:
    """Record an offer. An offer of compromise is not a disallowance."""
    return take(
        claim,
        "offer",
        step,
        Write(
            "claim.offered",
            {"offered_on": step.on, "offered_cents": cents},
            {"amount": format_cents(cents, claim.currency, code=True)},
            cents=cents,
            by_day=by_day,
        ),
    )


def record_counter(*, claim: Claim, cents: int, step: Step) -> Claim:
    """Record our counter-offer. It is a compromise: the filed amount stays."""
    amount = format_cents(cents, claim.currency, code=True)
    write = Write("claim.countered", data={"amount": amount}, cents=cents)
    return take(claim, "counter", step, write)


def accept_offer(*, claim: Claim, cents: int, step: Step) -> Claim:
    """Record what was agreed. The claim stays open until it is paid.

    Raise RefusedError where the loss may be released or paid for twice.
    """
    amount = format_cents(cents, claim.currency, code=True)
    write = Write("claim.accepted", data={"amount": amount}, cents=cents)

    def guard(row: Claim) -> None:
        require_release(row, cents)

    return take(claim, "accept", step, write, also=guard)


def record_refusal(*, claim: Claim, step: Step) -> Claim:
    """Record that our refusal of the offer went out. The claim goes on as before it."""
    to = DISALLOWED if claim.disallowed_on else None
    to = to or (ACKNOWLEDGED if claim.acknowledged_on else RECEIVED)
    return take(claim, "refuse", step, Write("claim.refused", to=to))


def record_disallowance(*, claim: Claim, step: Step, denial: Denial) -> Claim:
    """Record a written denial of the claim or of any part. The first one counts.

    The time to sue runs for the whole claim from the first letter (49 U.S.C.
    14706(e)(1)); later denials and offers are recorded and never move it.
    """
    first = claim.disallowed_on is None
    changes: dict[str, object] = (
        {
            "disallowed_on": step.on,
            "disallowed_reason": step.reason,
            "disallowance_disputed": denial.with_offer,
        }
        if first
        else {}
    )
    write = Write(
        "claim.disallowed",
        changes,
        choice=denial.reason_key,
        cents=denial.cents,
    )
    return take(claim, "disallow", step, write)


def ask_inspection(*, claim: Claim, how: str, step: Step) -> Claim:
    """Record that the carrier was asked to inspect, on which day and how."""
    write = Write(
        "claim.inspection-asked", data={"how": SENT_HOW[how].lower()}, choice=how
    )
    return take(claim, "ask-inspection", step, write)


def record_inspection(*, claim: Claim, outcome: str, step: Step) -> Claim:
    """Record that the carrier inspected, waived it, or did not come in time."""
    words = INSPECTION_ENDS[outcome]
    write = Write("claim.inspection", data={"what": words}, choice=outcome)
    return take(claim, "inspection", step, write)


def record_permission(*, claim: Claim, about: str, allowed: bool, step: Step) -> Claim:
    """Record the carrier's written answer on one question alone."""
    answer = "yes" if allowed else "no"
    write = Write(
        "claim.permission",
        data={"what": PERMISSIONS[about], "answer": answer},
        choice=f"{about}-{answer}",
    )
    return take(claim, "permission", step, write)


def ask_papers(*, claim: Claim, by_day: date | None, step: Step) -> Claim:
    """Record which documents the carrier asks for, and by when it wants them."""
    by = f" by {in_words(by_day)}" if by_day else ""
    write = Write("claim.papers-asked", data={"by": by}, by_day=by_day)
    return take(claim, "ask-papers", step, write)


def supply_papers(*, claim: Claim, how: str, step: Step) -> Claim:
    """Record which documents went to the carrier, on which day and how."""
    write = Write(
        "claim.papers-supplied", data={"how": SENT_HOW[how].lower()}, choice=how
    )
    return take(claim, "supply-papers", step, write)


def record_salvage(*, claim: Claim, cents: int, step: Step) -> Claim:
    """Record a sale of salvage: the amount, who bought it, and for whom it was sold."""
    amount = format_cents(cents, claim.currency, code=True)
    write = Write("claim.salvage-sold", data={"amount": amount}, cents=cents)
    return take(claim, "salvage-sold", step, write)

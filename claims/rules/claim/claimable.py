"""Whether a finding may go into a carrier claim, with every reason."""

from dataclasses import dataclass

from claims.rules.bench.causes import CAUSES, needs_answer
from claims.rules.core.vocabulary import ROUTES

NO_LOSS = {
    "over": "An overage is not a loss. Ask the carrier whose goods they are.",
    "indicator": "A tripped indicator is a sign of rough handling, not damage. Claim the "
    "damage it points to.",
}
"""Kinds of finding that are not a loss in themselves."""

UNANSWERED = (
    "The technician marked it as our handling. The manager must answer with a "
    "reason before it goes into any claim."
)


@dataclass(frozen=True)
class Claimable:
    """Whether it may be claimed; why not; and what would weaken it."""

    allowed: bool
    reasons: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def may_be_claimed(
    *,
    cause: str,
    handling_answer: str,
    damage_kind: str,
    route: str,
    claim_number: str = "",
    photo_count: int = 1,
    is_priced: bool = True,
    is_safety_part: bool = False,
    safety_basis: str = "",
) -> Claimable:
    """Return whether this finding may go into a claim on the carrier.

    ``route`` is the manager's own or, where there is none, the default one; ""
    where neither is known. ``claim_number`` names the live claim that already has it,
    or is "". Reasons forbid; cautions only warn.
    """
    reasons = [
        *_handling_reasons(cause, handling_answer),
        *_route_reasons(route),
    ]
    if damage_kind in NO_LOSS:
        reasons.append(NO_LOSS[damage_kind])
    if claim_number:
        reasons.append(f"It is already in claim {claim_number}.")
    return Claimable(
        allowed=not reasons,
        reasons=tuple(reasons),
        cautions=_cautions(
            photo_count=photo_count,
            is_priced=is_priced,
            needs_safety_basis=is_safety_part and not safety_basis,
        ),
    )


def _handling_reasons(cause: str, answer: str) -> list[str]:
    if needs_answer(cause=cause, handling_answer=answer):
        return [UNANSWERED]
    if CAUSES[cause].stops_claim and answer == "ours":
        return [
            "The manager answered that it was our handling. It stays out of claims."
        ]
    return []


def _route_reasons(route: str) -> list[str]:
    if route in {"", "carrier"}:
        return []
    where = ROUTES[route].lower()
    return [f"It is set to: {where}. A manager can change it to the carrier."]


def _cautions(
    *, photo_count: int, is_priced: bool, needs_safety_basis: bool
) -> tuple[str, ...]:
    found = []
    if photo_count == 0:
        found.append("It has no photo.")
    if not is_priced:
        found.append("A part or the hourly rate has no price.")
    if needs_safety_basis:
        found.append(
            "It is a safety part. Get the maker's written instruction, or claim its "
            "replacement."
        )
    return tuple(found)

"""Whom a claim goes to: chosen among the companies of its freight bill."""

from claims.actions.claim.steps import Step, Write, take
from claims.models import Claim
from claims.queries.core.parties import parties_of
from inventory.actions.core.versions import RefusedError
from inventory.models import Carrier


def address_claim(*, claim: Claim, to: Carrier, step: Step) -> Claim:
    """Choose the company that the claim, its file and its letters are addressed to.

    Raise RefusedError where it is not named on the freight bill, with every reason
    against the act, and StaleRowError.
    """
    if to.pk not in {one.carrier.pk for one in parties_of(claim.shipment)}:
        raise RefusedError(
            f"{to} is not named on this freight bill. Nothing was saved. Correct the "
            "paperwork first."
        )
    return take(
        claim,
        "address",
        step,
        Write(
            "claim.addressed",
            {"addressed_to": to},
            {"to": to.printed_name},
            to_company=to,
        ),
    )

"""Whom a claim goes to, or went to, as its page says it."""

from dataclasses import dataclass

from claims.models import Claim
from claims.queries.core.bankruptcies import bankruptcy_of
from claims.queries.core.parties import (
    BillParty,
    addressee_of,
    against_filing,
    part_in,
    parties_of,
)
from claims.rules.claim.life import LIFE
from claims.rules.core.sending import lacks_tracking
from inventory.models import CarrierBankruptcy


@dataclass(frozen=True)
class Addressee:
    """The company that a claim goes to, and what is wrong with that.

    ``not_filed`` says why no carrier has a claim that went out. ``can_choose`` means
    that the bill names several companies and the claim has not gone out yet.
    """

    party: BillParty
    not_filed: str
    lacks_tracking: bool
    can_choose: bool
    bankruptcy: CarrierBankruptcy | None = None


def addressee_panel(claim: Claim) -> Addressee | None:
    """Return whom the claim goes to; None for one that the supplier makes.

    ``claim`` comes with ``PARTIES_OF_CLAIM`` joined.
    """
    if claim.claimant != "us":
        return None
    carrier = addressee_of(claim)
    is_over = claim.state in LIFE.final
    return Addressee(
        party=BillParty(part_in(claim.shipment, carrier), carrier),
        not_filed="" if is_over else against_filing(claim),
        lacks_tracking=claim.received_on is None
        and not is_over
        and lacks_tracking(claim.sent_how, claim.tracking),
        bankruptcy=None if is_over else bankruptcy_of(claim),
        can_choose=claim.sent_on is None and len(parties_of(claim.shipment)) > 1,
    )

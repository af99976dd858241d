"""What is recorded of carriers in bankruptcy: the last row of a carrier counts."""

from collections.abc import Iterable

from claims.models import Claim, ClaimStep
from claims.queries.core.parties import addressee_of
from claims.rules.claim.life import LIFE, WITHDRAWING
from inventory.models import Carrier, CarrierBankruptcy


def bankruptcies_of(carriers: Iterable[Carrier]) -> dict[int, CarrierBankruptcy]:
    """Return what is recorded of each of these carriers, by its key. One query."""
    rows = CarrierBankruptcy.objects.filter(carrier__in={one.pk for one in carriers})
    return {row.carrier_id: row for row in rows.order_by("pk")}


def bankruptcy_of(claim: Claim) -> CarrierBankruptcy | None:
    """Return the bankruptcy of the carrier that a claim of ours is against."""
    if claim.claimant != "us":
        return None
    return bankruptcies_of([addressee_of(claim)]).get(addressee_of(claim).pk)


def proofs_filed(claims: Iterable[Claim]) -> dict[int, ClaimStep]:
    """Return, by claim, the step that says its proof of claim is with the court."""
    rows = ClaimStep.objects.filter(
        claim__in=[claim.pk for claim in claims], act="prove"
    )
    return {row.claim_id: row for row in rows.order_by("-pk")}


def open_claims_against(carrier: Carrier) -> list[Claim]:
    """Return our open claims at all locations that this carrier has to pay."""
    rows = (
        Claim.objects.filter(state__in=LIFE.live, claimant="us")
        .exclude(state=WITHDRAWING)
        .select_related(
            "location",
            "addressed_to",
            "shipment__location",
            "shipment__carrier",
            "shipment__record_carrier",
        )
        .order_by("shipment_id", "pk")
    )
    return [row for row in rows if addressee_of(row).pk == carrier.pk]

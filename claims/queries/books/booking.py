"""Who is to pay a claim, and how it would be booked if it were booked now."""

from datetime import datetime

from django.db.models import QuerySet

from claims.models import BookingBasis, Claim, ClaimBooking
from claims.queries.core.parties import against_filing, written_to
from claims.rules.books.basis import DEFAULT
from inventory.models import Carrier, Location, Supplier, User

MOST_SHOWN = 20


def partner_of(claim: Claim) -> Supplier | Carrier | None:
    """Return who is to pay; the carrier pays nothing where the supplier claims."""
    booking = ClaimBooking.objects.filter(claim=claim).first()
    if booking is not None:
        return booking.partner
    return payer_of(claim)


def payer_of(claim: Claim) -> Supplier | Carrier | None:
    """Return who is to pay a claim that is not booked yet.

    None while it went to a broker alone: a broker has not to pay.
    """
    if claim.claimant == "supplier":
        return claim.shipment.supplier
    return None if against_filing(claim) else written_to(claim)


def is_filed(claim: Claim) -> bool:
    """Return whether the claim went out to someone who is to pay."""
    return claim.sent_on is not None and not against_filing(claim)


def basis_of(location: Location) -> BookingBasis | None:
    """Return how the location books claims that are filed now, None where never set."""
    return BookingBasis.objects.filter(location=location).order_by("pk").last()


def bases_of(location: Location) -> QuerySet[BookingBasis]:
    """Return what was set at the location, the newest first."""
    rows = BookingBasis.objects.filter(location=location).select_related("set_by")
    return rows.order_by("-pk")[:MOST_SHOWN]


def is_booked(claim: Claim) -> bool:
    """Return whether the claim is in the books."""
    return ClaimBooking.objects.filter(claim=claim).exists()


def _labor_rate(claim: Claim, setting: BookingBasis | None) -> int:
    """Return our cost of an hour; none is known in another currency than the location's."""
    if setting is None or claim.currency != claim.location.currency:
        return 0
    return setting.labor_rate_cents


def new_booking(
    claim: Claim, setting: BookingBasis | None, *, person: User, at: datetime
) -> ClaimBooking | None:
    """Return the booking of a claim by this setting, unsaved; None without a payer."""
    partner = payer_of(claim)
    if partner is None:
        return None
    return ClaimBooking(
        claim=claim,
        carrier=partner if isinstance(partner, Carrier) else None,
        supplier=partner if isinstance(partner, Supplier) else None,
        basis=setting.basis if setting else DEFAULT,
        labor_rate_cents=_labor_rate(claim, setting),
        booked_at=at,
        booked_by=person,
    )

"""One claim in the books: its entries, its accounts and what accounting stated."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Sum

from claims.models import Claim, ClaimBooking, ClaimFigure, ClaimPosting
from claims.rules.books import kinds
from inventory.models import Leg


@dataclass(frozen=True)
class ClaimBooks:
    """What the books say of one claim, in cents; ``balances`` by label of account."""

    booking: ClaimBooking | None
    postings: Sequence[ClaimPosting]
    balances: Sequence[tuple[str, int]]
    figures: Sequence[ClaimFigure]


def claim_books(claim: Claim) -> ClaimBooks:
    """Return the books of a claim. Four queries."""
    booking = ClaimBooking.objects.filter(claim=claim).select_related(
        "carrier", "supplier", "booked_by"
    )
    postings = ClaimPosting.objects.filter(claim=claim)
    legs = Leg.objects.filter(entry__in=postings.values("entry")).order_by()
    sums = dict(legs.values_list("account__kind").annotate(Sum("cents")))
    return ClaimBooks(
        booking=booking.first(),
        postings=list(postings.select_related("entry__reverses").order_by("pk")),
        balances=[
            (kind.label, sums[key])
            for key, kind in kinds.ACCOUNT_KINDS.items()
            if sums.get(key)
        ],
        figures=list(
            ClaimFigure.objects.filter(claim=claim).select_related("stated_by")
        ),
    )

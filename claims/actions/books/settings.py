"""What accounting decides of claims in the books: the basis of a location, figures."""

import datetime as dt

from django.db import transaction

from claims.actions.books.posting import lock_claim_book, post_claim
from claims.models import BookingBasis, Claim, ClaimFigure
from claims.queries.books.booking import basis_of
from claims.rules.books.basis import BASES
from claims.rules.books.figures import CREDITED, FIGURES
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.locks import lock_periods
from inventory.models import Location, User
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_cents


def set_booking_basis(
    *,
    location: Location,
    basis: str,
    labor_rate_cents: int,
    person: User,
    at: dt.datetime,
) -> BookingBasis:
    """Set when claims filed from now on are booked; a claim filed before keeps its own.

    The same setting again writes nothing.
    """
    if basis not in BASES:
        raise LookupError(f"{basis} is no basis of booking.")
    with transaction.atomic():
        lock_periods(location)
        last = basis_of(location)
        if last and (last.basis, last.labor_rate_cents) == (basis, labor_rate_cents):
            return last
        row = BookingBasis.objects.create(
            location=location,
            basis=basis,
            labor_rate_cents=labor_rate_cents,
            set_at=at,
            set_by=person,
        )
        record_event(
            kind="books.basis-set",
            at=at,
            actor=person,
            location=location,
            subjects=[location, row],
            data={
                "basis": mid_sentence(BASES[basis]),
                "rate": format_cents(labor_rate_cents, location.currency, code=True),
            },
        )
    return row


def state_figure(
    *, claim: Claim, what: str, cents: int, reason: str, person: User, at: dt.datetime
) -> ClaimFigure:
    """State the loss as booked or the recovery that is probable, with the reason.

    Raise RefusedError for a claim that is not in the books.
    """
    if what not in FIGURES:
        raise LookupError(f"{what} is no figure of the books.")
    with transaction.atomic():
        lock_claim_book(claim)
        row = (
            Claim.objects.select_for_update(of=("self",))
            .select_related("location", "shipment__carrier")
            .get(pk=claim.pk)
        )
        if not hasattr(row, "booking"):
            raise RefusedError(
                "This claim is not in the books yet. Nothing was saved. File it, or "
                "bring it in, first."
            )
        if what == CREDITED and row.booking.supplier_id is None:
            raise RefusedError(
                "The carrier is to pay this claim, not the supplier. Nothing was saved. "
                "Record the carrier's payment on the claim."
            )
        figure = ClaimFigure.objects.create(
            claim=row,
            what=what,
            cents=cents,
            reason=reason,
            stated_at=at,
            stated_by=person,
        )
        today = dock_day(at, row.location.zone)
        post_claim(row, on=today, person=person, at=at)
        record_event(
            kind="claim.figure-stated",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row.shipment, row],
            data={
                "number": row.number,
                "what": mid_sentence(FIGURES[what]),
                "amount": format_cents(cents, row.currency, code=True),
                "reason": reason,
            },
        )
    return figure

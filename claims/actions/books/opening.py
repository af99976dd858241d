"""Bringing claims that were filed before into the books, once, on a chosen day."""

import datetime as dt

from django.db import transaction

from claims.actions.books.posting import post_planned
from claims.models import Claim, ClaimBooking
from claims.queries.books.booking import basis_of, new_booking, payer_of
from claims.queries.books.facts import OPENING_SLOT, book_facts
from claims.queries.books.opening import joined_waiting, ready_claims
from claims.rules.books import kinds
from claims.rules.books.opening import opening_of
from claims.rules.books.planning import Planned
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.checks import refuse_locked_period
from inventory.actions.ledger.locks import lock_books
from inventory.models import Location, User
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day


def open_claims_in_books(
    *, location: Location, on: dt.date, person: User, at: dt.datetime
) -> list[ClaimBooking]:
    """Post what is open of every claim that was filed before, one entry a claim.

    A closed claim gets its baseline and no entry. Raise RefusedError for a locked or a
    future day, and where nothing waits.
    """
    with transaction.atomic():
        if on > dock_day(at, location.zone):
            raise RefusedError(
                "That day is in the future. Nothing was posted. Choose today or an "
                "earlier day."
            )
        refuse_locked_period(location, on)
        setting = basis_of(location)
        bookings = [
            booking
            for claim in _locked(location)
            if (booking := new_booking(claim, setting, person=person, at=at))
        ]
        if not bookings:
            raise RefusedError(
                "No claim waits to be brought in. Nothing was posted. Someone may have "
                "done it already: see the month of that day."
            )
        made = [_open_one(booking, on) for booking in bookings]
        record_event(
            kind="books.opened",
            at=at,
            actor=person,
            location=location,
            subjects=[location],
            data={
                "count": len(made),
                "on": in_words(on),
                "claims": [booking.claim.number for booking in made],
            },
        )
    return made


def _locked(location: Location) -> list[Claim]:
    """Lock the books, then the claims; a claim filed meanwhile is no longer waiting."""
    ready = ready_claims([location])
    lock_books(
        (location, partner, claim.currency)
        for claim in ready
        if (partner := payer_of(claim))
    )
    keys = list(
        Claim.objects.select_for_update()
        .filter(pk__in=[claim.pk for claim in ready])
        .order_by("pk")
        .values_list("pk", flat=True)
    )
    return list(joined_waiting([location]).filter(pk__in=keys))


def _open_one(booking: ClaimBooking, on: dt.date) -> ClaimBooking:
    opened = opening_of(book_facts(booking.claim, booking))
    booking.opened_on = on
    booking.baseline = {"slots": opened.slots, "values": opened.values}
    booking.save(force_insert=True)
    if opened.lines:
        planned = Planned(OPENING_SLOT, kinds.OPENED, opened.lines)
        who, at = booking.booked_by, booking.booked_at
        post_planned(booking, planned, on=on, person=who, at=at)
    return booking

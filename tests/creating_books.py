"""The forms of claims in the books that create a row or move money."""

from types import SimpleNamespace

from django.urls import reverse

from claims.forms.books.decisions import BasisForm, FigureForm, OpenBooksForm
from claims.forms.desk.month_end import CarryForm
from claims.models import BookingBasis, Claim, ClaimBooking, ClaimFigure
from inventory.models import Assignment, CarriedCheck
from tests.claims.booking import do
from tests.claims.stage import TODAY, claim_it, set_stage
from tests.creating import Creating
from tests.ledger import charge, make_book
from tests.people import make_location


def basis(who):
    return f"{reverse('booking_basis')}?location={who.riverside.pk}"


def waiting(who):
    """Make a claim that was sent before claims were booked, alone at its location.

    All that wait at a location are brought in at once, and other lines make some at
    Riverside, which stays the first of two for whoever names none.
    """
    place = make_location("WES", name="Westfall")
    Assignment.objects.create(person=who.abel, location=place, role="accounting")
    there = SimpleNamespace(**{**vars(who), "riverside": place})
    claim = claim_it(there, set_stage(there))
    Claim.objects.filter(pk=claim.pk).update(
        state="received", sent_on=TODAY, received_on=TODAY
    )
    return f"{reverse('open_claims_in_books')}?location={place.pk}"


def filed(who):
    claim = claim_it(who, set_stage(who))
    do(who, claim, "send")
    return reverse("state_figure", args=[claim.pk])


def unmatched(who):
    """Charge a deposit on no crate, so that the last month has a check to carry."""
    charge(make_book(who))
    return f"{reverse('carry_check')}?location={who.riverside.pk}"


BOOKS = [
    Creating(
        name="a check carried",
        form=CarryForm,
        sender="abel",
        prepare=unmatched,
        data={"check": "charges", "reason": "The supplier answers next week."},
        other=("reason", "Another reason."),
        needed="reason",
        counts=CarriedCheck,
    ),
    Creating(
        name="a booking basis",
        form=BasisForm,
        sender="abel",
        prepare=basis,
        data={"basis": "filing", "labor_rate_cents": "42.00"},
        other=("labor_rate_cents", "43.00"),
        needed="basis",
        counts=BookingBasis,
    ),
    Creating(
        name="claims brought in",
        form=OpenBooksForm,
        sender="abel",
        prepare=waiting,
        data={"on": "2026-03-20"},
        other=("on", "2026-03-21"),
        needed="on",
        counts=ClaimBooking,
    ),
    Creating(
        name="a figure for the books",
        form=FigureForm,
        sender="abel",
        prepare=filed,
        data={"what": "loss", "cents": "500.00", "reason": "Body shop."},
        other=("cents", "510.00"),
        needed="reason",
        counts=ClaimFigure,
    ),
]

"""What accounting decides of claims in the books: basis, openings, figures."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.books import opening, settings
from claims.forms.books.decisions import BasisForm, FigureForm, OpenBooksForm
from claims.models import Claim
from claims.queries.books.booking import (
    bases_of,
    basis_of,
    is_booked,
    new_booking,
)
from claims.queries.books.claim_books import claim_books
from claims.queries.books.opening import joined_waiting, opening_for, sums_of
from claims.rules.books.basis import DEFAULT
from claims.views.books.month import ACT, KEEP
from inventory.access import may, obtain, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.models import Location
from inventory.rules.reckoning.calendars import in_words
from inventory.views.core.act_view import ActView, Crumbs, Form
from inventory.views.core.clock import now, today_at
from inventory.views.core.places import place_of
from inventory.views.core.row_view import Row

REFUSAL = (
    "You do not keep the books of that location. Nothing was changed. Choose one of "
    "yours."
)


class _BooksAct(ActView[Row, Form]):
    """An act of accounting, below the month of claims."""

    permission = KEEP
    back_words = "Back to the books"

    def get_back(self) -> str:
        return reverse("books")

    def get_crumbs(self) -> Crumbs:
        return [("Books", reverse("books"))]


class _PlaceAct(_BooksAct[Location, Form]):
    """An act on the books of one location, which the address may name."""

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        row, self.others = place_of(
            self.request, self.person, self.permission, refusal=REFUSAL
        )
        return row

    def get_kicker(self) -> str:
        return str(self.row)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(others=self.others, **more)


class SetBasis(_PlaceAct[BasisForm]):
    """Set when claims filed from now on are booked."""

    form_class = BasisForm
    template_name = "claims/books/basis.html"
    title = "When claims are booked"
    lead = (
        "A claim is booked as it was set on the day it was filed; a change alters no "
        "older claim. Your accountant decides which fits your books."
    )

    def get_initial(self) -> dict[str, Any]:
        last = basis_of(self.row)
        return super().get_initial() | {
            "basis": last.basis if last else DEFAULT,
            "labor_rate_cents": last.labor_rate_cents if last else 0,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(settings=bases_of(self.row), **more)

    def act(self, form: BasisForm) -> Answer:
        made = settings.set_booking_basis(
            location=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        page = f"{reverse('booking_basis')}?location={self.row.pk}"
        return self.done(f"Saved for {self.row}.", row=made, page=page)


class OpenBooks(_PlaceAct[OpenBooksForm]):
    """Show what the openings would post, and post them on the day that is chosen."""

    form_class = OpenBooksForm
    template_name = "claims/books/opening.html"
    title = "Bring in claims filed before"
    lead = (
        "Each claim is posted once, as it is open today, against opening balances. "
        "What was paid or written off before stays in your older books. Nothing is "
        "posted until you choose the day below."
    )

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row)}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        setting = basis_of(self.row)
        rows = [
            opening_for(claim, booking)
            for claim in joined_waiting([self.row])
            if (booking := new_booking(claim, setting, person=self.person, at=now()))
        ]
        return super().get_context_data(
            openings=rows, sums=sums_of(rows), setting=setting, **more
        )

    def act(self, form: OpenBooksForm) -> Answer:
        on = form.cleaned_data["on"]
        made = opening.open_claims_in_books(
            location=self.row, on=on, person=self.person, at=now()
        )
        many = "1 claim" if len(made) == 1 else f"{len(made)} claims"
        page = f"{reverse('books')}?month={on:%Y-%m}"
        said = f"{many} brought into the books on {in_words(on)}."
        return self.done(said, row=self.row, page=page)


class StateFigure(_BooksAct[Claim, FigureForm]):
    """State the loss as booked, or the recovery that is probable."""

    form_class = FigureForm
    title = "State a figure for the books"
    lead = (
        "The figure replaces the last one you stated. What changes is posted at once, "
        "and no older entry changes."
    )

    def get_queryset(self) -> QuerySet[Claim]:
        return Claim.objects.select_related("location", "shipment__carrier")

    def get_back(self) -> str:
        return reverse("claim_books", args=[self.row.pk])

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        if is_booked(self.row):
            return ""
        return "This claim is not in the books yet. File it, or bring it in, first."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: FigureForm) -> Answer:
        settings.state_figure(
            claim=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.done("Figure stated.", row=self.row, page=self.get_back())


@require_safe
def books_of_claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the books hold of one claim, and every entry of it."""
    person = person_of(request)
    rows = Claim.objects.select_related("location", "shipment__carrier")
    claim = obtain(rows, person, pk, ACT)
    context = {
        "claim": claim,
        "books": claim_books(claim),
        "may_post": may(person, claim.location_id, KEEP),
        "crumbs": [("Books", reverse("books")), (str(claim), "")],
    }
    return render(request, "claims/books/claim.html", context)

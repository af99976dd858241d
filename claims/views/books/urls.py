"""Addresses of the drawer books."""

from django.urls import path

from claims.views.books import decisions, month

urlpatterns = [
    path("books/", month.month, name="books"),
    path("books/entries/", month.entries, name="claim_entries"),
    path("books/basis/", decisions.SetBasis.as_view(), name="booking_basis"),
    path("books/openings/", decisions.OpenBooks.as_view(), name="open_claims_in_books"),
    path("claims/<int:pk>/books/", decisions.books_of_claim, name="claim_books"),
    path(
        "claims/<int:pk>/books/figure/",
        decisions.StateFigure.as_view(),
        name="state_figure",
    ),
]

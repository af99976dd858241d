"""Addresses of the ledger pages."""

from django.urls import path

from inventory.views.ledger import books, entries, journal

urlpatterns = [
    path("deposits/journal/", journal.journal, name="journal"),
    path("deposits/lock/", books.LockPeriod.as_view(), name="lock_period"),
    path("deposits/accounts/", books.AccountNumbers.as_view(), name="account_numbers"),
    path("entries/<uuid:pk>/", entries.entry, name="entry"),
    path(
        "entries/<uuid:pk>/reverse/",
        entries.ReverseEntry.as_view(),
        name="reverse_entry",
    ),
]

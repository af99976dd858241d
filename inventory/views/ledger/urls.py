"""Addresses of the drawer ledger."""

from django.urls import path

from inventory.views.ledger import books, entries, journal

urlpatterns = [
    path("deposits/journal/", journal.journal, name="journal"),
    path("deposits/lock/", books.lock_period, name="lock_period"),
    path("deposits/accounts/", books.account_numbers, name="account_numbers"),
    path("entries/<uuid:pk>/", entries.entry, name="entry"),
    path("entries/<uuid:pk>/reverse/", entries.reverse_one, name="reverse_entry"),
]

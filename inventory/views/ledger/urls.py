"""Addresses of the ledger pages."""

from django.urls import path

from inventory.views.ledger import books, entries, journal, rates, trial_balance

urlpatterns = [
    path("deposits/journal/", journal.journal, name="journal"),
    path("deposits/trial-balance/", trial_balance.trial_balance, name="trial_balance"),
    path("deposits/account/", trial_balance.account, name="ledger_account"),
    path("deposits/lock/", books.LockPeriod.as_view(), name="lock_period"),
    path("deposits/rates/", rates.EnterRate.as_view(), name="enter_rate"),
    path("deposits/accounts/", books.AccountNumbers.as_view(), name="account_numbers"),
    path("entries/<uuid:pk>/", entries.entry, name="entry"),
    path(
        "entries/<uuid:pk>/reverse/",
        entries.ReverseEntry.as_view(),
        name="reverse_entry",
    ),
]

"""The addresses of deposits, entries and the books."""

from django.urls import path

from inventory.views import books, deposit_charging, deposits, entries

routes = [
    path("deposits/charge/", deposit_charging.charge_deposits, name="charge_deposits"),
    path(
        "deposits/openings/",
        deposit_charging.bring_in_openings,
        name="bring_in_openings",
    ),
    path("deposits/lock/", books.lock_period, name="lock_period"),
    path("deposits/accounts/", books.account_numbers, name="account_numbers"),
    path("deposits/<int:pk>/", deposits.deposit, name="deposit"),
    path("deposits/<int:pk>/match/", deposits.match_deposit, name="match_deposit"),
    path(
        "deposits/<int:pk>/withdraw/",
        deposits.withdraw_deposit,
        name="withdraw_deposit",
    ),
    path(
        "deposits/<int:pk>/forfeit/", deposits.forfeit_deposit, name="forfeit_deposit"
    ),
    path("entries/<uuid:pk>/", entries.entry, name="entry"),
    path("entries/<uuid:pk>/reverse/", entries.reverse_one, name="reverse_entry"),
]

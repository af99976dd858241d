"""Addresses of the drawer deposits."""

from django.urls import path

from inventory.views.deposits import charging, deposits, desk

urlpatterns = [
    path("deposits/", desk.deposits, name="deposits"),
    path("deposits/balances/", desk.balances, name="balances"),
    path(
        "locations/<int:place>/suppliers/<int:pk>/statement.pdf",
        desk.supplier_statement,
        name="supplier_statement",
    ),
    path("deposits/charge/", charging.charge_deposits, name="charge_deposits"),
    path("deposits/openings/", charging.bring_in_openings, name="bring_in_openings"),
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
]

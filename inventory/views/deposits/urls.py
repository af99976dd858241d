"""Addresses of the deposit pages."""

from django.urls import path

from inventory.views.deposits import charging, deposits, desk, earlier

urlpatterns = [
    path("deposits/", desk.deposits, name="deposits"),
    path("deposits/balances/", desk.balances, name="balances"),
    path(
        "locations/<int:place>/suppliers/<int:pk>/statement.pdf",
        desk.supplier_statement,
        name="supplier_statement",
    ),
    path("deposits/charge/", charging.ChargeDeposits.as_view(), name="charge_deposits"),
    path(
        "deposits/openings/",
        charging.BringInOpenings.as_view(),
        name="bring_in_openings",
    ),
    path("deposits/earlier-credits/", earlier.earlier, name="earlier_credits"),
    path("deposits/<int:pk>/", deposits.deposit, name="deposit"),
    path(
        "deposits/<int:pk>/match/",
        deposits.MatchDeposit.as_view(),
        name="match_deposit",
    ),
    path(
        "deposits/<int:pk>/withdraw/",
        deposits.WithdrawDeposit.as_view(),
        name="withdraw_deposit",
    ),
    path(
        "deposits/<int:pk>/forfeit/",
        deposits.ForfeitDeposit.as_view(),
        name="forfeit_deposit",
    ),
]

"""The addresses of the deposits desk."""

from django.urls import path

from inventory.views.deposit_desk import balances, deposits, supplier_statement
from inventory.views.journal import journal
from inventory.views.return_plans import plan_returns, set_return_costs

routes = [
    path("deposits/", deposits, name="deposits"),
    path("deposits/balances/", balances, name="balances"),
    path("deposits/journal/", journal, name="journal"),
    path("deposits/plan/", plan_returns, name="plan_returns"),
    path(
        "locations/<int:place>/suppliers/<int:pk>/truck-costs/",
        set_return_costs,
        name="set_return_costs",
    ),
    path(
        "locations/<int:place>/suppliers/<int:pk>/statement.pdf",
        supplier_statement,
        name="supplier_statement",
    ),
]

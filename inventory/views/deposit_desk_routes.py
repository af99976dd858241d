"""The addresses of the deposits desk."""

from django.urls import path

from inventory.views.deposit_desk import balances, deposits, supplier_statement
from inventory.views.journal import journal

routes = [
    path("deposits/", deposits, name="deposits"),
    path("deposits/balances/", balances, name="balances"),
    path("deposits/journal/", journal, name="journal"),
    path(
        "locations/<int:place>/suppliers/<int:pk>/statement.pdf",
        supplier_statement,
        name="supplier_statement",
    ),
]

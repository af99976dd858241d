"""The ground floor's addresses: each slice of the work brings its own."""

from django.urls import URLPattern

from inventory.views import (
    crate_routes,
    crate_type_routes,
    deposit_desk_routes,
    evidence_routes,
    identity_routes,
    ledger_routes,
    partner_routes,
    receiving_routes,
    return_routes,
)

urlpatterns: list[URLPattern] = [
    *receiving_routes.routes,
    *evidence_routes.routes,
    *partner_routes.routes,
    *identity_routes.routes,
    *crate_routes.routes,
    *crate_type_routes.routes,
    *deposit_desk_routes.routes,
    *ledger_routes.routes,
    *return_routes.routes,
]

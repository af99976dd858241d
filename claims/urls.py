"""The upper floor's addresses: each slice of the work brings its own."""

from django.urls import URLPattern

from claims.views import (
    bench_routes,
    claim_routes,
    crate_routes,
    receiving_routes,
    story_routes,
)

urlpatterns: list[URLPattern] = [
    *story_routes.routes,
    *receiving_routes.routes,
    *bench_routes.routes,
    *claim_routes.routes,
    *crate_routes.routes,
]

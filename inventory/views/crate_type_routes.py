"""Addresses of a supplier's crate types and terms."""

from django.urls import path

from inventory.views import crate_types

routes = [
    path("suppliers/<int:pk>/crates/", crate_types.crate_types, name="crate_types"),
    path(
        "suppliers/<int:pk>/crates/new/",
        crate_types.add_crate_type,
        name="add_crate_type",
    ),
    path(
        "suppliers/<int:pk>/crates/<int:key>/",
        crate_types.edit_crate_type,
        name="edit_crate_type",
    ),
    path("suppliers/<int:pk>/terms/new/", crate_types.add_terms, name="add_terms"),
]

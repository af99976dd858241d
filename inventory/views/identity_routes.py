"""Addresses of what a crate is known by: finding it, marking it, its labels."""

from django.urls import path

from inventory.views import crate_identity, find_crate

routes = [
    path("crates/find/", find_crate.find_crate, name="find_crate"),
    path(
        "crates/<int:pk>/identity/",
        crate_identity.set_crate_identity,
        name="set_crate_identity",
    ),
    path("shipments/<int:pk>/marks/", crate_identity.give_marks, name="give_marks"),
    path(
        "shipments/<int:pk>/labels/", crate_identity.crate_labels, name="crate_labels"
    ),
    path(
        "shipments/<int:pk>/labels.pdf",
        crate_identity.crate_labels_pdf,
        name="crate_labels_pdf",
    ),
]

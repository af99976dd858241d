"""Addresses of the drawer crates."""

from django.urls import path

from inventory.views.crates import acts, finding, identity, listing, types

urlpatterns = [
    path("crates/", listing.crates, name="crates"),
    path("crates/<int:pk>/type/", acts.SetCrateType.as_view(), name="set_crate_type"),
    path("crates/<int:pk>/empty/", acts.EmptyCrate.as_view(), name="empty_crate"),
    path("crates/<int:pk>/check/", acts.CheckCrate.as_view(), name="check_crate"),
    path("crates/<int:pk>/scrap/", acts.ScrapCrate.as_view(), name="scrap_crate"),
    path("crates/<int:pk>/dispose/", acts.DisposeCrate.as_view(), name="dispose_crate"),
    path("suppliers/<int:pk>/crates/", types.crate_types, name="crate_types"),
    path("suppliers/<int:pk>/crates/new/", types.add_crate_type, name="add_crate_type"),
    path(
        "suppliers/<int:pk>/crates/<int:key>/",
        types.edit_crate_type,
        name="edit_crate_type",
    ),
    path("suppliers/<int:pk>/terms/new/", types.add_terms, name="add_terms"),
    path("crates/find/", finding.find_crate, name="find_crate"),
    path(
        "crates/<int:pk>/identity/",
        identity.set_crate_identity,
        name="set_crate_identity",
    ),
    path("shipments/<int:pk>/marks/", identity.give_marks, name="give_marks"),
    path("shipments/<int:pk>/labels/", identity.crate_labels, name="crate_labels"),
    path(
        "shipments/<int:pk>/labels.pdf",
        identity.crate_labels_pdf,
        name="crate_labels_pdf",
    ),
]

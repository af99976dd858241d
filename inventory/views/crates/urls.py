"""Addresses: crates, their types, terms, marks and labels."""

from django.urls import path

from inventory.views.crates import acts, codes, finding, identity, listing, types

urlpatterns = [
    path("crates/", listing.crates, name="crates"),
    path("crates/<int:pk>/type/", acts.SetCrateType.as_view(), name="set_crate_type"),
    path("crates/<int:pk>/empty/", acts.EmptyCrate.as_view(), name="empty_crate"),
    path("crates/<int:pk>/check/", acts.CheckCrate.as_view(), name="check_crate"),
    path("crates/<int:pk>/scrap/", acts.ScrapCrate.as_view(), name="scrap_crate"),
    path("crates/<int:pk>/dispose/", acts.DisposeCrate.as_view(), name="dispose_crate"),
    path("suppliers/<int:pk>/crates/", types.crate_types, name="crate_types"),
    path(
        "suppliers/<int:pk>/crates/new/",
        types.AddCrateType.as_view(),
        name="add_crate_type",
    ),
    path(
        "suppliers/<int:pk>/crates/<int:key>/",
        types.EditCrateType.as_view(),
        name="edit_crate_type",
    ),
    path("suppliers/<int:pk>/terms/new/", types.AddTerms.as_view(), name="add_terms"),
    path("codes/read/", codes.read_codes, name="read_codes"),
    path("crates/find/", finding.find_crate, name="find_crate"),
    path(
        "crates/<int:pk>/identity/",
        identity.SetCrateIdentity.as_view(),
        name="set_crate_identity",
    ),
    path("shipments/<int:pk>/marks/", identity.GiveMarks.as_view(), name="give_marks"),
    path("shipments/<int:pk>/labels/", identity.crate_labels, name="crate_labels"),
    path(
        "shipments/<int:pk>/labels.pdf",
        identity.crate_labels_pdf,
        name="crate_labels_pdf",
    ),
]

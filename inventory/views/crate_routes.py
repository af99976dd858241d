"""Addresses of the crates of a location and of the acts on one."""

from django.urls import path

from inventory.views import crate_acts, crate_list

routes = [
    path("crates/", crate_list.crates, name="crates"),
    path("crates/<int:pk>/type/", crate_acts.set_crate_type, name="set_crate_type"),
    path("crates/<int:pk>/empty/", crate_acts.empty_crate, name="empty_crate"),
    path("crates/<int:pk>/check/", crate_acts.check_crate, name="check_crate"),
    path("crates/<int:pk>/scrap/", crate_acts.scrap_crate, name="scrap_crate"),
    path("crates/<int:pk>/dispose/", crate_acts.dispose_crate, name="dispose_crate"),
]

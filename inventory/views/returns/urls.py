"""Addresses of the drawer returns."""

from django.urls import path

from inventory.views.returns import acts, listing, planning, plans

urlpatterns = [
    path("deposits/plan/", plans.plan_returns, name="plan_returns"),
    path(
        "locations/<int:place>/suppliers/<int:pk>/truck-costs/",
        plans.set_return_costs,
        name="set_return_costs",
    ),
    path("returns/", listing.returns, name="returns"),
    path("returns/new/", listing.make_return, name="make_return"),
    path("returns/<int:pk>/", listing.crate_return, name="crate_return"),
    path("returns/<int:pk>/edit/", planning.edit_return, name="edit_return"),
    path("returns/<int:pk>/crates/", planning.stage_crates, name="stage_crates"),
    path("returns/<int:pk>/ship/", acts.ship_return, name="ship_return"),
    path("returns/<int:pk>/received/", acts.receive_return, name="receive_return"),
    path("returns/<int:pk>/cancel/", planning.cancel_return, name="cancel_return"),
    path("returns/<int:pk>/bill.pdf", acts.return_bol, name="return_bol"),
    path(
        "returns/<int:pk>/packing-list.pdf",
        acts.return_packing_list,
        name="return_packing_list",
    ),
    path("return-lines/<int:pk>/off/", planning.take_off_crate, name="take_off_crate"),
    path("return-lines/<int:pk>/lost/", acts.lose_crate, name="lose_crate"),
]

"""Addresses of the drawer returns."""

from django.urls import path

from inventory.views.returns import acts, listing, planning, plans

urlpatterns = [
    path("deposits/plan/", plans.plan_returns, name="plan_returns"),
    path(
        "locations/<int:place>/suppliers/<int:pk>/truck-costs/",
        plans.SetReturnCosts.as_view(),
        name="set_return_costs",
    ),
    path("returns/", listing.returns, name="returns"),
    path("returns/new/", planning.MakeReturn.as_view(), name="make_return"),
    path("returns/<int:pk>/", listing.crate_return, name="crate_return"),
    path("returns/<int:pk>/edit/", planning.EditReturn.as_view(), name="edit_return"),
    path(
        "returns/<int:pk>/crates/", planning.StageCrates.as_view(), name="stage_crates"
    ),
    path("returns/<int:pk>/ship/", acts.ShipReturn.as_view(), name="ship_return"),
    path(
        "returns/<int:pk>/received/",
        acts.ReceiveReturn.as_view(),
        name="receive_return",
    ),
    path(
        "returns/<int:pk>/cancel/",
        planning.CancelReturn.as_view(),
        name="cancel_return",
    ),
    path("returns/<int:pk>/bill.pdf", acts.return_bol, name="return_bol"),
    path(
        "returns/<int:pk>/packing-list.pdf",
        acts.return_packing_list,
        name="return_packing_list",
    ),
    path(
        "return-lines/<int:pk>/off/",
        planning.TakeOffCrate.as_view(),
        name="take_off_crate",
    ),
    path("return-lines/<int:pk>/lost/", acts.LoseCrate.as_view(), name="lose_crate"),
    path("return-lines/<int:pk>/found/", acts.FindCrate.as_view(), name="find_lost"),
]

"""Addresses of the drawer receiving."""

from django.urls import path

from inventory.views.receiving import lines, on_phone, trucks

urlpatterns = [
    path("deliveries/", trucks.deliveries, name="deliveries"),
    path("deliveries/new/", trucks.LogDelivery.as_view(), name="log_delivery"),
    path(
        "deliveries/<int:pk>/edit/", trucks.EditDelivery.as_view(), name="edit_delivery"
    ),
    path("deliveries/<int:pk>/bill/", trucks.AddBill.as_view(), name="add_bill"),
    path(
        "handovers/<int:pk>/count/", trucks.EditHandover.as_view(), name="edit_handover"
    ),
    path(
        "shipments/<int:pk>/crates/new/", lines.AddCrates.as_view(), name="add_crates"
    ),
    path("crates/<int:pk>/edit/", lines.EditCrate.as_view(), name="edit_crate"),
    path("shipments/<int:pk>/units/new/", lines.AddUnit.as_view(), name="add_unit"),
    path(
        "deliveries/<int:pk>/on-phone/", on_phone.truck_on_phone, name="truck_on_phone"
    ),
    path(
        "units/<int:pk>/on-phone/", on_phone.machine_on_phone, name="machine_on_phone"
    ),
    path("units/<int:pk>/edit/", lines.EditUnit.as_view(), name="edit_unit"),
]

"""Addresses of the drawer receiving."""

from django.urls import path

from inventory.views.receiving import (
    at_truck,
    empties,
    expected,
    expected_import,
    lines,
    on_phone,
    over_pieces,
    trucks,
)

urlpatterns = [
    path("expected/", expected.expected, name="expected"),
    path("expected/new/", expected.AddExpected.as_view(), name="add_expected"),
    path("expected/import/", expected_import.import_expected, name="import_expected"),
    path("expected/<int:pk>/", expected.expected_delivery, name="expected_delivery"),
    path(
        "expected/<int:pk>/withdraw/",
        expected.WithdrawExpected.as_view(),
        name="withdraw_expected",
    ),
    path("deliveries/", trucks.deliveries, name="deliveries"),
    path("deliveries/new/", trucks.LogDelivery.as_view(), name="log_delivery"),
    path(
        "deliveries/<int:pk>/edit/",
        at_truck.EditDelivery.as_view(),
        name="edit_delivery",
    ),
    path(
        "deliveries/<int:pk>/empties-only/",
        empties.CloseEmptiesTruck.as_view(),
        name="close_empties_truck",
    ),
    path("deliveries/<int:pk>/bill/", at_truck.AddBill.as_view(), name="add_bill"),
    path(
        "handovers/<int:pk>/count/",
        at_truck.EditHandover.as_view(),
        name="edit_handover",
    ),
    path(
        "deliveries/<int:pk>/fact/", at_truck.RecordFact.as_view(), name="record_fact"
    ),
    path(
        "handovers/<int:pk>/not-inspected/",
        at_truck.SayWhyNotInspected.as_view(),
        name="say_unseen",
    ),
    path(
        "shipments/<int:pk>/crates/new/", lines.AddCrates.as_view(), name="add_crates"
    ),
    path("crates/<int:pk>/edit/", lines.EditCrate.as_view(), name="edit_crate"),
    path("crates/<int:pk>/over/", over_pieces.AnswerOver.as_view(), name="answer_over"),
    path("shipments/<int:pk>/units/new/", lines.AddUnit.as_view(), name="add_unit"),
    path(
        "deliveries/<int:pk>/on-phone/", on_phone.truck_on_phone, name="truck_on_phone"
    ),
    path(
        "units/<int:pk>/on-phone/", on_phone.machine_on_phone, name="machine_on_phone"
    ),
    path("units/<int:pk>/edit/", lines.EditUnit.as_view(), name="edit_unit"),
]

"""Addresses of the drawer receiving."""

from django.urls import path

from claims.views.receiving import dock, receipts, tailgate

urlpatterns = [
    path("dock/", dock.dock, name="dock"),
    path("deliveries/<int:pk>/tailgate/", tailgate.tailgate, name="tailgate"),
    path("crates/<int:pk>/look/", tailgate.look, name="look"),
    path("deliveries/<int:pk>/rest-clear/", tailgate.clear_rest, name="clear_rest"),
    path("deliveries/<int:pk>/words/", tailgate.receipt_words, name="receipt_words"),
    path("deliveries/<int:pk>/sign/", receipts.sign_receipt, name="sign_receipt"),
    path("deliveries/<int:pk>/note/", receipts.note_receipt, name="note_receipt"),
    path(
        "handovers/<int:pk>/carrier-image/",
        receipts.compare_image,
        name="compare_image",
    ),
    path(
        "crates/<int:pk>/disposition/",
        receipts.record_disposition,
        name="record_disposition",
    ),
    path("shipments/<int:pk>/edit/", receipts.edit_shipment, name="edit_shipment"),
]

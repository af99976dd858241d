"""Addresses of the drawer receiving."""

from django.urls import path

from claims.views.receiving import (
    dock,
    receipts,
    signing,
    tailgate,
    terminal_mail,
    test_trucks,
    withdrawals,
)

urlpatterns = [
    path("dock/", dock.dock, name="dock"),
    path("deliveries/test/", test_trucks.StartTest.as_view(), name="start_test"),
    path(
        "deliveries/<int:pk>/test/end/", test_trucks.EndTest.as_view(), name="end_test"
    ),
    path("deliveries/<int:pk>/tailgate/", tailgate.tailgate, name="tailgate"),
    path("crates/<int:pk>/look/", tailgate.InspectCrate.as_view(), name="look"),
    path(
        "deliveries/<int:pk>/rest-clear/",
        tailgate.ClearRest.as_view(),
        name="clear_rest",
    ),
    path("undo/<int:pk>/", tailgate.Undo.as_view(), name="undo"),
    path(
        "deliveries/<int:pk>/sign/", signing.SignReceipt.as_view(), name="sign_receipt"
    ),
    path(
        "deliveries/<int:pk>/words/",
        signing.ReceiptWords.as_view(),
        name="receipt_words",
    ),
    path(
        "deliveries/<int:pk>/terminal-mail/",
        terminal_mail.TerminalMail.as_view(),
        name="terminal_mail",
    ),
    path(
        "deliveries/<int:pk>/terminal-mail.eml",
        terminal_mail.terminal_mail_file,
        name="terminal_mail_file",
    ),
    path(
        "deliveries/<int:pk>/note/", receipts.NoteReceipt.as_view(), name="note_receipt"
    ),
    path(
        "handovers/<int:pk>/carrier-image/",
        receipts.CompareImage.as_view(),
        name="compare_image",
    ),
    path(
        "crates/<int:pk>/disposition/",
        receipts.RecordDisposition.as_view(),
        name="record_disposition",
    ),
    path(
        "shipments/<int:pk>/edit/",
        receipts.EditShipment.as_view(),
        name="edit_shipment",
    ),
    path(
        "deliveries/<int:pk>/withdraw/",
        withdrawals.WithdrawDelivery.as_view(),
        name="withdraw_delivery",
    ),
    path(
        "handovers/<int:pk>/withdraw/",
        withdrawals.WithdrawBill.as_view(),
        name="withdraw_bill",
    ),
    path(
        "crates/<int:pk>/withdraw/",
        withdrawals.WithdrawCrate.as_view(),
        name="withdraw_crate",
    ),
]

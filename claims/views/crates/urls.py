"""Addresses of the drawer crates."""

from django.urls import path

from claims.views.crates import packaging, packaging_letters, page

urlpatterns = [
    path("crates/<int:pk>/", page.crate, name="crate"),
    path("packaging-holds/<int:pk>/", packaging.packaging_hold, name="packaging_hold"),
    path(
        "packaging-holds/<int:pk>/carrier/",
        packaging_letters.AskCarrier.as_view(),
        name="ask_carrier",
    ),
    path(
        "packaging-holds/<int:pk>/carrier.pdf",
        packaging_letters.carrier_letter_pdf,
        name="carrier_letter",
    ),
    path(
        "packaging-holds/<int:pk>/carrier/sent/",
        packaging_letters.CarrierAsked.as_view(),
        name="carrier_asked",
    ),
    path(
        "packaging-holds/<int:pk>/supplier/",
        packaging_letters.AskSupplier.as_view(),
        name="ask_supplier",
    ),
    path(
        "packaging-holds/<int:pk>/supplier.pdf",
        packaging_letters.supplier_letter_pdf,
        name="supplier_letter",
    ),
    path(
        "packaging-holds/<int:pk>/supplier/sent/",
        packaging_letters.SupplierAsked.as_view(),
        name="supplier_asked",
    ),
    path(
        "packaging-holds/<int:pk>/stopped/",
        packaging.StopClock.as_view(),
        name="stop_clock",
    ),
    path(
        "packaging-holds/<int:pk>/release/",
        packaging.ReleasePackaging.as_view(),
        name="release_packaging",
    ),
]

"""Addresses of the drawer bench."""

from django.urls import path

from claims.views.bench import decisions, desk, findings, inspections

urlpatterns = [
    path("bench/", desk.bench, name="bench"),
    path("crates/<int:pk>/open/", desk.open_crate, name="open_crate"),
    path(
        "units/<int:pk>/inspect/<slug:stage>/",
        inspections.inspect_unit,
        name="inspect_unit",
    ),
    path(
        "shipments/<int:pk>/findings/new/",
        findings.RecordFinding.as_view(),
        name="record_finding",
    ),
    path("findings/<int:pk>/", findings.finding, name="finding"),
    path(
        "findings/<int:pk>/edit/", findings.EditFinding.as_view(), name="edit_finding"
    ),
    path("findings/<int:pk>/price/", decisions.price_finding, name="price_finding"),
    path(
        "findings/<int:pk>/handling/", decisions.answer_handling, name="answer_handling"
    ),
    path("findings/<int:pk>/route/", decisions.route_finding, name="route_finding"),
    path("holds/<int:pk>/release/", inspections.release_hold, name="release_hold"),
]

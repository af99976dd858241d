"""Addresses of the bench: crates opened, looks taken, things found wrong, holds."""

from django.urls import path

from claims.views import bench, finding_decisions, findings, inspections

routes = [
    path("bench/", bench.bench, name="bench"),
    path("crates/<int:pk>/open/", bench.open_crate, name="open_crate"),
    path(
        "units/<int:pk>/inspect/<slug:stage>/",
        inspections.inspect_unit,
        name="inspect_unit",
    ),
    path(
        "shipments/<int:pk>/findings/new/",
        findings.record_finding,
        name="record_finding",
    ),
    path("findings/<int:pk>/", findings.finding, name="finding"),
    path("findings/<int:pk>/edit/", findings.edit_finding, name="edit_finding"),
    path(
        "findings/<int:pk>/price/",
        finding_decisions.price_finding,
        name="price_finding",
    ),
    path(
        "findings/<int:pk>/handling/",
        finding_decisions.answer_handling,
        name="answer_handling",
    ),
    path(
        "findings/<int:pk>/route/",
        finding_decisions.route_finding,
        name="route_finding",
    ),
    path("holds/<int:pk>/release/", inspections.release_hold, name="release_hold"),
]

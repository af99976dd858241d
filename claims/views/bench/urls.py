"""Addresses of the drawer bench."""

from django.urls import path

from claims.views.bench import decisions, desk, findings, inspections

urlpatterns = [
    path("bench/", desk.bench, name="bench"),
    path("crates/<int:pk>/open/", desk.OpenCrate.as_view(), name="open_crate"),
    path(
        "units/<int:pk>/inspect/<slug:stage>/",
        inspections.InspectUnit.as_view(),
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
    path(
        "findings/<int:pk>/price/",
        decisions.PriceFinding.as_view(),
        name="price_finding",
    ),
    path(
        "findings/<int:pk>/handling/",
        decisions.AnswerHandling.as_view(),
        name="answer_handling",
    ),
    path(
        "findings/<int:pk>/route/",
        decisions.RouteFinding.as_view(),
        name="route_finding",
    ),
    path(
        "holds/<int:pk>/release/",
        inspections.ReleaseHold.as_view(),
        name="release_hold",
    ),
]

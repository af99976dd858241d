"""Addresses of photos and documents."""

from django.urls import path

from inventory.views import add_evidence, evidence, withholding

routes = [
    path("evidence/new/", add_evidence.add_evidence, name="add_evidence"),
    path("evidence/<uuid:pk>/", evidence.evidence, name="evidence"),
    path("evidence/<uuid:pk>/<int:size>/", evidence.photo, name="photo"),
    path("evidence/<uuid:pk>/original/", evidence.original, name="original"),
    path(
        "evidence/<uuid:pk>/withhold/",
        withholding.withhold_evidence,
        name="withhold_evidence",
    ),
    path(
        "evidence/<uuid:pk>/show-again/",
        withholding.show_evidence,
        name="show_evidence",
    ),
]

"""Addresses of photos and documents."""

from django.urls import path

from inventory.views import evidence

routes = [
    path("evidence/new/", evidence.add_evidence, name="add_evidence"),
    path("evidence/<uuid:pk>/", evidence.evidence, name="evidence"),
    path("evidence/<uuid:pk>/<int:size>/", evidence.photo, name="photo"),
    path("evidence/<uuid:pk>/original/", evidence.original, name="original"),
]

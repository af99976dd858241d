"""Addresses of the drawer evidence."""

from django.urls import path

from inventory.views.evidence import (
    adding,
    capture,
    marking,
    phone,
    photos,
    readings,
    withholding,
)

urlpatterns = [
    path("evidence/new/", adding.add_evidence, name="add_evidence"),
    path("photos/capture/", capture.capture, name="capture"),
    path("photos/key/", phone.phone_key, name="phone_key"),
    path("phone/me/", phone.phone_me, name="phone_me"),
    path("evidence/<uuid:pk>/", photos.evidence, name="evidence"),
    path("evidence/<uuid:pk>/<int:size>/", photos.photo, name="photo"),
    path("evidence/<uuid:pk>/reading/", readings.photo_reading, name="photo_reading"),
    path("evidence/<uuid:pk>/original/", photos.original, name="original"),
    path("evidence/<uuid:pk>/mark/", marking.MarkPhoto.as_view(), name="mark_photo"),
    path(
        "evidence/<uuid:pk>/withhold/",
        withholding.WithholdEvidence.as_view(),
        name="withhold_evidence",
    ),
    path(
        "evidence/<uuid:pk>/show-again/",
        withholding.ShowEvidence.as_view(),
        name="show_evidence",
    ),
]

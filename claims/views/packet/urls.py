"""Addresses of the drawer packet."""

from django.urls import path

from claims.views.packet import files

urlpatterns = [
    path(
        "packets/<int:pk>/originals.zip",
        files.packet_originals,
        name="packet_originals",
    ),
    path(
        "packets/<int:pk>/check_packet.py", files.packet_checker, name="packet_checker"
    ),
]

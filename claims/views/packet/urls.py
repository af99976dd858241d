"""Addresses of the drawer packet."""

from django.urls import path

from claims.views.packet import files

urlpatterns = [
    path("claims/<int:pk>/packet/", files.BuildPacket.as_view(), name="build_packet"),
    path("packets/<int:pk>/packet.pdf", files.packet, name="packet"),
    path(
        "packets/<int:pk>/originals.zip",
        files.packet_originals,
        name="packet_originals",
    ),
    path(
        "packets/<int:pk>/check_packet.py", files.packet_checker, name="packet_checker"
    ),
]

"""Addresses of the drawer packet."""

from django.urls import path

from claims.views.packet import file_facts, files, lighter, previews

urlpatterns = [
    path("claims/<int:pk>/packet/", files.BuildPacket.as_view(), name="build_packet"),
    path(
        "claims/<int:pk>/packet/preview.pdf",
        previews.packet_preview,
        name="packet_preview",
    ),
    path(
        "claims/<int:pk>/packet/preview/",
        previews.packet_drawing,
        name="packet_drawing",
    ),
    path(
        "claims/<int:pk>/packet/how-far/",
        previews.packet_being_confirmed,
        name="packet_being_confirmed",
    ),
    path(
        "claims/<int:pk>/file-facts/",
        file_facts.StateFileFacts.as_view(),
        name="file_facts",
    ),
    path(
        "claims/<int:pk>/counsel/", file_facts.RecordCounsel.as_view(), name="counsel"
    ),
    path(
        "claims/<int:pk>/working-file.pdf",
        file_facts.working_file,
        name="working_file",
    ),
    path(
        "claims/<int:pk>/opposing-arguments.pdf",
        file_facts.arguments,
        name="arguments",
    ),
    path("packets/<int:pk>/packet.pdf", files.packet, name="packet"),
    path(
        "packets/<int:pk>/originals.zip",
        files.packet_originals,
        name="packet_originals",
    ),
    path(
        "packets/<int:pk>/lighter/", lighter.MakeLighter.as_view(), name="make_lighter"
    ),
    path("packets/<int:pk>/changes/", lighter.packet_changes, name="packet_changes"),
    path("lighter-files/<int:pk>/file.pdf", lighter.lighter_file, name="lighter_file"),
    path(
        "packets/<int:pk>/check_packet.py", files.packet_checker, name="packet_checker"
    ),
]

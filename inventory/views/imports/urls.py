"""Addresses: lists from files."""

from django.urls import path

from inventory.rules.imports.kinds import KINDS
from inventory.views.imports import pages
from inventory.views.imports.importing import importing

urlpatterns = [
    path("lists/", pages.bring_lists, name="bring_lists"),
    path("lists/imports/<int:pk>/", pages.list_import, name="list_import"),
    path(
        "lists/imports/<int:pk>/undo/",
        pages.UndoImport.as_view(),
        name="undo_list_import",
    ),
    *(
        path(f"lists/{kind.key}/", importing(kind), name=kind.url)
        for kind in KINDS.values()
    ),
]

"""The ground floor's addresses: each drawer of views brings its own."""

from django.urls import include, path

urlpatterns = [
    path("", include("inventory.views.crates.urls")),
    path("", include("inventory.views.deposits.urls")),
    path("", include("inventory.views.evidence.urls")),
    path("", include("inventory.views.imports.urls")),
    path("", include("inventory.views.ledger.urls")),
    path("", include("inventory.views.mail.urls")),
    path("", include("inventory.views.memos.urls")),
    path("", include("inventory.views.people.urls")),
    path("", include("inventory.views.receiving.urls")),
    path("", include("inventory.views.returns.urls")),
]

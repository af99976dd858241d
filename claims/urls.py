"""The upper floor's addresses: each drawer of views brings its own."""

from django.urls import include, path

urlpatterns = [
    path("", include("claims.views.bench.urls")),
    path("", include("claims.views.books.urls")),
    path("", include("claims.views.claim.urls")),
    path("", include("claims.views.crates.urls")),
    path("", include("claims.views.desk.urls")),
    path("", include("claims.views.letters.urls")),
    path("", include("claims.views.packet.urls")),
    path("", include("claims.views.receiving.urls")),
]

"""The upper floor's addresses: each slice of the work brings its own."""

from django.urls import URLPattern

from claims.views import story_routes

urlpatterns: list[URLPattern] = [*story_routes.routes]

"""The ground floor's addresses: each slice of the work brings its own."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

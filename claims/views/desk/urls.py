"""Addresses of the drawer desk."""

from django.urls import path

from claims.views.desk import stories

urlpatterns = [
    path("", stories.home, name="home"),
    path("cautions/", stories.cautions, name="cautions"),
    path("search/", stories.search, name="search"),
    path("deliveries/<int:pk>/", stories.delivery, name="delivery"),
    path("shipments/<int:pk>/", stories.shipment, name="shipment"),
    path("units/<int:pk>/", stories.unit, name="unit"),
]

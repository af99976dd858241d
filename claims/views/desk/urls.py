"""Addresses of the drawer desk."""

from django.urls import path

from claims.views.desk import stories, truck

urlpatterns = [
    path("", stories.home, name="home"),
    path("cautions/", stories.cautions, name="cautions"),
    path("search/", stories.search, name="search"),
    path("deliveries/<int:pk>/", truck.delivery, name="delivery"),
    path("shipments/<int:pk>/", stories.shipment, name="shipment"),
    path("units/<int:pk>/", stories.unit, name="unit"),
]

"""Addresses of the drawer people."""

from django.urls import path

from inventory.views.people import partners, people

urlpatterns = [
    path("carriers/", partners.carriers, name="carriers"),
    path("carriers/new/", partners.add_carrier, name="add_carrier"),
    path("carriers/<int:pk>/edit/", partners.edit_carrier, name="edit_carrier"),
    path("suppliers/", partners.suppliers, name="suppliers"),
    path("suppliers/new/", partners.add_supplier, name="add_supplier"),
    path("suppliers/<int:pk>/edit/", partners.edit_supplier, name="edit_supplier"),
    path("people/", people.people, name="people"),
    path("people/new/", people.add_person, name="add_person"),
    path("people/<int:pk>/edit/", people.edit_person, name="edit_person"),
    path("locations/", people.locations, name="locations"),
    path("locations/new/", people.add_location, name="add_location"),
    path("locations/<int:pk>/edit/", people.edit_location, name="edit_location"),
]

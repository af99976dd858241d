"""Addresses: people, locations, carriers and suppliers."""

from django.urls import path

from inventory.views.people import partners, people, upkeep

urlpatterns = [
    path("carriers/", partners.carriers, name="carriers"),
    path("carriers/new/", partners.AddCarrier.as_view(), name="add_carrier"),
    path(
        "carriers/<int:pk>/edit/", partners.EditCarrier.as_view(), name="edit_carrier"
    ),
    path("suppliers/", partners.suppliers, name="suppliers"),
    path("suppliers/new/", partners.AddSupplier.as_view(), name="add_supplier"),
    path(
        "suppliers/<int:pk>/edit/",
        partners.EditSupplier.as_view(),
        name="edit_supplier",
    ),
    path("upkeep/", upkeep.upkeep, name="upkeep"),
    path("people/", people.people, name="people"),
    path("people/new/", people.AddPerson.as_view(), name="add_person"),
    path("people/<int:pk>/edit/", people.EditPerson.as_view(), name="edit_person"),
    path("people/<int:pk>/start/", people.StartPerson.as_view(), name="start_person"),
    path(
        "people/<int:pk>/link/",
        people.MakePasswordLink.as_view(),
        name="make_password_link",
    ),
    path(
        "people/<int:pk>/second-step/",
        people.RemoveSecondStep.as_view(),
        name="remove_second_step",
    ),
    path("locations/", people.locations, name="locations"),
    path("locations/new/", people.AddLocation.as_view(), name="add_location"),
    path(
        "locations/<int:pk>/edit/", people.EditLocation.as_view(), name="edit_location"
    ),
]

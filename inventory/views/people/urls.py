"""Addresses: people, locations, carriers and suppliers."""

from django.urls import path

from inventory.views.people import dock_phones, partners, people, retention, upkeep

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
    path("upkeep/retention/", retention.retention, name="retention"),
    path(
        "upkeep/retention/hold/",
        retention.PlaceHold.as_view(),
        name="place_legal_hold",
    ),
    path(
        "upkeep/retention/<int:pk>/lift/",
        retention.LiftHold.as_view(),
        name="lift_legal_hold",
    ),
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
    path("people/dock-phones/", dock_phones.dock_phones, name="dock_phones"),
    path(
        "people/dock-phones/new/",
        dock_phones.AddDockPhone.as_view(),
        name="add_dock_phone",
    ),
    path(
        "people/dock-phones/<int:pk>/end/",
        dock_phones.EndDockPhone.as_view(),
        name="end_dock_phone",
    ),
    path("locations/", people.locations, name="locations"),
    path("locations/new/", people.AddLocation.as_view(), name="add_location"),
    path(
        "locations/<int:pk>/edit/", people.EditLocation.as_view(), name="edit_location"
    ),
]

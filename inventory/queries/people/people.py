"""People and locations."""

from django.db.models import Exists, F, OuterRef, QuerySet
from django.http import Http404

from inventory.models import DockPhone, Location, SecondFactor, User


def people_rows() -> QuerySet[User]:
    """Return every person with their assignments and second step, by name."""
    factors = SecondFactor.objects.filter(person=OuterRef("pk"))
    rows = User.objects.annotate(has_second_step=Exists(factors))
    rows = rows.prefetch_related("assignments__location")
    return rows.order_by("full_name", "pk")


def place_rows() -> QuerySet[Location]:
    """Return every location, by name."""
    return Location.objects.order_by("name", "pk")


def one_person(pk: int) -> User:
    """Return one person. Raise Http404."""
    try:
        return people_rows().get(pk=pk)
    except (User.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def dock_phones() -> QuerySet[DockPhone]:
    """Return every shared phone, those in use first."""
    rows = DockPhone.objects.select_related("location", "made_by")
    return rows.order_by(F("ended_at").desc(nulls_first=True), "location__name", "pk")


def one_dock_phone(pk: int) -> DockPhone:
    """Return one shared phone. Raise Http404."""
    try:
        return dock_phones().get(pk=pk)
    except (DockPhone.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def one_place(pk: int) -> Location:
    """Return one location. Raise Http404."""
    try:
        return place_rows().get(pk=pk)
    except (Location.DoesNotExist, OverflowError) as error:
        raise Http404 from error

"""What the pages of acts on one return have in common."""

from typing import TypeVar

from django.db.models import Model, QuerySet
from django.http import HttpRequest
from django.urls import reverse

from inventory.access import obtain, person_of
from inventory.forms.core.base import HouseForm
from inventory.models import CrateReturn, Delivery, ReturnLine, User
from inventory.views.core.act_view import ActView, Crumbs

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)

JOINED = ("location", "supplier", "carrier", "delivery__carrier", "made_by")
"""What the pages of a return print of other rows."""


class ReturnAct(ActView[Row, Form]):
    """An act on a return, or on one crate of it."""

    permission = "ship-crates"
    back_words = "Back to the return"

    def get_return(self) -> CrateReturn:
        """Return the return that the page's row is, or belongs to."""
        raise NotImplementedError

    def get_back(self) -> str:
        return reverse("crate_return", args=[self.get_return().pk])

    def get_kicker(self) -> str:
        row = self.get_return()
        return f"{row} to {row.supplier}"

    def get_crumbs(self) -> Crumbs:
        row = self.get_return()
        return [("Returns", reverse("returns")), (str(row), self.get_back())]


class WholeReturnAct(ReturnAct[CrateReturn, Form]):
    """An act on the return of the address."""

    def get_queryset(self) -> QuerySet[CrateReturn]:
        return CrateReturn.objects.select_related(*JOINED)

    def get_return(self) -> CrateReturn:
        return self.row


class CrateOfReturnAct(ReturnAct[ReturnLine, Form]):
    """An act on one crate of a return."""

    def get_queryset(self) -> QuerySet[ReturnLine]:
        return ReturnLine.objects.select_related(
            "crate_return__location",
            "crate_return__supplier",
            "crate_return__carrier",
            "crate",
        )

    def get_return(self) -> CrateReturn:
        return self.row.crate_return


def return_seen(request: HttpRequest, pk: int) -> CrateReturn:
    """Return the return, for a person who may see it."""
    rows = CrateReturn.objects.select_related(*JOINED)
    return obtain(rows, person_of(request), pk, "see")


def truck_named(key: str, person: User) -> Delivery:
    """Return the truck with this key, where this person ships crates."""
    rows = Delivery.objects.select_related("location", "carrier")
    return obtain(rows, person, key, "ship-crates")

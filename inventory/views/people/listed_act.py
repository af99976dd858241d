"""Pages that stand below one list of the office: what they have in common."""

from typing import TypeVar

from django.urls import reverse

from inventory.forms.core.base import HouseForm
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.row_view import Row

Form = TypeVar("Form", bound=HouseForm)


class ListedAct(ActView[Row, Form]):
    """An act on a row of one list, or on a new one; the list is the way back."""

    back_words = "Back without saving"
    above: tuple[str, str]
    """The list above the page: its heading and the name of its address."""

    def check(self) -> None:
        """Refuse whoever may not do this. Raise PermissionDenied with the reason."""
        raise NotImplementedError

    def get_row(self) -> Row:
        self.check()
        return self.find_row()

    def find_row(self) -> Row:
        """Return the row that the page is about. May raise Http404."""
        raise NotImplementedError

    def get_back(self) -> str:
        return reverse(self.above[1])

    def get_crumbs(self) -> Crumbs:
        return [(self.above[0], self.get_back())]

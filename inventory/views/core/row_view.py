"""Pages that are about one row: obtained through the gate before anything else."""

from typing import Any, Generic, TypeVar, cast

from django.contrib import messages
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.views.generic import View

from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.addresses import UNDO, address_at
from inventory.models import User
from inventory.queries.core.history import last_event
from inventory.views.core.ways import go_to, is_phone

Row = TypeVar("Row")
"""The row that the page is about; None for a page that is about no row yet."""


class RowView(View, Generic[Row]):
    """A page about one row. ``permission`` is the act that the role table names."""

    permission: str
    undoes = ""
    """The kind of event that the message of the act offers to undo."""

    person: User
    row: Row

    def get_queryset(self) -> QuerySet[Any]:
        """Return the rows that the address may name, joined as the page needs."""
        raise NotImplementedError

    def get_row(self) -> Row:
        """Return the row of the address, or refuse: 404, or 403 with the reason.

        Override it where the address names none; it must pass a gate all the same.
        """
        rows = self.get_queryset()
        row = obtain(rows, self.person, self.kwargs["pk"], self.permission)
        return cast("Row", row)

    def get_back(self) -> str:
        """Return the page to go back to, with the act done or not."""
        raise NotImplementedError

    def dispatch(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponseBase:
        """Let nobody past the gate; a wrong method is refused before it."""
        if (request.method or "").lower() in self.http_method_names:
            self.person = person_of(request)
            self.row = self.get_row()
        return super().dispatch(request, *args, **kwargs)

    def done(self, message: str, *, row: Model | None = None, page: str = "") -> Answer:
        """Return the answer to an act that is done.

        ``row`` is what was made, the page's own row unless given; ``page`` is where
        to go next, back unless given.
        """
        about = row or self.row
        page = page or self.get_back()
        if isinstance(about, Model):
            return Answer.about(about, message=message, page=page)
        return Answer(message=message, page=page)

    def answer(self, answer: Answer) -> HttpResponse:
        """Say that it is done, and go on."""
        if answer.message:
            undo = self.get_undo() if self.undoes else ""
            messages.success(self.request, answer.message, extra_tags=undo)
        return go_to(answer.page)

    def get_undo(self) -> str:
        """Return the address that undoes the last act of this kind on the row, or ""."""
        row = self.row
        event = last_event(row, self.undoes) if isinstance(row, Model) else None
        return address_at(UNDO, event.sequence) if event else ""


class ButtonAct(RowView[Row]):
    """An act without a form: one button on another page, which says what came of it."""

    http_method_names = ["post"]

    def act(self) -> Answer:
        """Call the action; return ``self.done(...)``. Raises RefusedError."""
        raise NotImplementedError

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Act, or say why not; go on either way.

        A phone's script is told why not: the tap may have waited there, and the person
        is elsewhere.
        """
        try:
            return self.answer(self.act())
        except (RefusedError, StaleRowError) as error:
            if is_phone(request):
                return JsonResponse({"error": str(error)}, status=409)
            messages.error(request, str(error))
            return go_to(self.get_back())

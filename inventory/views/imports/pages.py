"""Bringing in lists from files: what there is to bring in, and what came."""

from collections.abc import Iterable
from datetime import UTC, datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import (
    locations_of,
    obtain,
    person_of,
    require_administrator,
    require_somewhere,
    roles_of,
)
from inventory.actions.core.once import Answer
from inventory.actions.imports.undoing import undo_import, why_not_undo
from inventory.forms.imports.lists import UndoImportForm
from inventory.models import ListImport, Location, User
from inventory.queries.imports.lists import imports_shown, one_import
from inventory.queries.imports.uses import Made, made_by
from inventory.queries.people.people import place_rows
from inventory.rules.core.roles import ACTS, ADMINISTRATOR
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.imports.kinds import KINDS
from inventory.rules.imports.list_kind import ListKind
from inventory.rules.reckoning.moments import paper_time
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import dock_words, now
from inventory.views.core.sheets import asked_as_file

MOST_SHOWN = 100
LISTS = "Bring lists from a file"


def require_kind(person: User, kind: ListKind) -> None:
    """Raise PermissionDenied unless the person may bring in this kind of list."""
    if kind.right:
        require_somewhere(person, kind.right)
    else:
        require_administrator(person)


def may_bring(person: User) -> list[ListKind]:
    """Return the kinds of list that the person may bring in."""
    held = roles_of(person)
    return [
        kind
        for kind in KINDS.values()
        if held & (ACTS[kind.right] if kind.right else {ADMINISTRATOR})
    ]


def obtain_import(person: User, pk: int) -> ListImport:
    """Return an import that the person may see. Raise Http404 and PermissionDenied."""
    row = one_import(pk)
    kind = KINDS[row.kind]
    if row.location_id is not None:
        obtain(Location.objects.all(), person, row.location_id, kind.right)
    require_kind(person, kind)
    return row


@require_safe
def bring_lists(request: HttpRequest) -> HttpResponse:
    """Offer the kinds of list, and show the imports before."""
    person = person_of(request)
    require_somewhere(person, "keep-terms")
    kinds = may_bring(person)
    places = locations_of(person)
    rows = imports_shown([kind.key for kind in kinds], places)[:MOST_SHOWN]
    home = place_rows().first()
    said = [(row, _at(row.location or home, row.made_at)) for row in rows]
    context = {"kinds": kinds, "imports": said}
    return render(request, "inventory/imports/lists.html", context)


@require_safe
def list_import(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one import with the rows that it made, or answer them as a file."""
    row = obtain_import(person_of(request), pk)
    made = made_by(row)
    file = asked_as_file(
        request, lambda: _sheet(row, made), stem=f"import-{pk}", today=now().date()
    )
    if file is not None:
        return file
    place = row.location or place_rows().first()
    context = {
        "row": row,
        "at": _at(place, row.made_at),
        "undone": _at(place, row.undone_at),
        "made": made,
        "against": why_not_undo(row, made),
        "crumbs": [*_crumbs(), (str(row), "")],
    }
    return render(request, "inventory/imports/list_import.html", context)


def _at(place: Location | None, moment: datetime | None) -> str:
    """Return a moment at a dock; where a house has none yet, by the world's clock."""
    if moment is None:
        return ""
    return dock_words(place, moment) if place else paper_time(moment, UTC)


def _crumbs() -> Crumbs:
    return [(LISTS, reverse("bring_lists"))]


def _sheet(row: ListImport, made: Iterable[Made]) -> Sheet:
    state = "Retired by import undo" if row.undone_at else "Imported"
    columns: list[Column[Made]] = [
        Column("Row", "count", lambda one: one.link.row),
        Column("Name", "text", lambda one: one.link.name),
        Column("Result", "text", lambda _one: state),
    ]
    return make_sheet(str(row), columns, made, currency_of=lambda _one: "")


class UndoImport(ActView[ListImport, UndoImportForm]):
    """Undo an import, with the reason."""

    form_class = UndoImportForm
    title = "Undo the import"
    back_words = "Back to the import"

    def get_row(self) -> ListImport:
        return obtain_import(self.person, self.kwargs["pk"])

    def get_back(self) -> str:
        return reverse("list_import", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [*_crumbs(), (str(self.row), self.get_back())]

    def get_lead(self) -> str:
        return (
            f"Everything that {self.row} made is retired: it leaves every list, and what it "
            "posted is reversed. Its names are free again, and a later import makes new "
            "rows. The history keeps the old ones."
        )

    def get_refusal(self) -> str:
        return why_not_undo(self.row, made_by(self.row))

    def act(self, form: UndoImportForm) -> Answer:
        undo_import(
            person=self.person,
            at=now(),
            list_import=self.row,
            version=form.cleaned_data["version"],
            reason=form.cleaned_data["reason"],
        )
        return self.done("The import is undone.", row=self.row, page=self.get_back())

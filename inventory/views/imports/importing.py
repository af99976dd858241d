"""One list from a file: the fate of each row first, then the new rows."""

from collections.abc import Callable
from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import locations_of
from inventory.actions.core.once import Answer
from inventory.actions.core.sent_documents import store_document
from inventory.actions.core.versions import RefusedError
from inventory.actions.imports.taking import ListTold, media_type_of, take_list
from inventory.evidence.store import originals as store
from inventory.evidence.store.homes import Stored
from inventory.forms.core.base import HouseForm
from inventory.forms.imports.all_readers import reader_of
from inventory.forms.imports.lists import (
    ReadListForm,
    RowsRead,
    TakeListForm,
    rows_of,
)
from inventory.forms.imports.readers import Judged
from inventory.models import ListImport, Location
from inventory.queries.imports.lists import standing_import
from inventory.queries.people.people import place_rows
from inventory.rules.core.sheets import Column, Sheet, make_sheet
from inventory.rules.core.table_files import SheetError
from inventory.rules.core.text import clean_file_name
from inventory.rules.imports.kinds import CARRIERS
from inventory.rules.imports.list_kind import ListKind
from inventory.rules.imports.reading import digest_of
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at, today_somewhere
from inventory.views.core.previews import Preview
from inventory.views.core.sheets import asked_as_file
from inventory.views.imports.pages import LISTS, require_kind

Form = TypeVar("Form", bound=HouseForm)

CHANGED = (
    "Something that this list touches changed after the preview. Nothing was saved. "
    "Choose the file again to see what becomes of each row now."
)
GONE = "The file is no longer kept. Nothing was saved. Choose the file again."


class _ListPage(ActView[None, Form]):
    """What the two pages of one kind of list have in common."""

    kind: ListKind = CARRIERS
    back_words = "Back to the lists"

    def get_row(self) -> None:
        require_kind(self.person, self.kind)

    def get_title(self) -> str:
        return f"Import {self.kind.plural}"

    def get_back(self) -> str:
        return reverse("bring_lists")

    def get_crumbs(self) -> Crumbs:
        return [(LISTS, reverse("bring_lists"))]

    def get_form_kwargs(self) -> dict[str, Any]:
        options = {"kind": self.kind, "places": self.places()}
        return super().get_form_kwargs() | options

    def places(self) -> QuerySet[Location] | None:
        """Return where the list may belong; None for one that belongs to no location."""
        if not self.kind.is_at_location:
            return None
        return locations_of(self.person, self.kind.right)

    def judged(self, place: Location | None, read: RowsRead) -> Judged:
        """Return what becomes of each row now."""
        today = today_at(place) if place else today_somewhere(self.person)
        reader = reader_of(self.kind.key, location=place, today=today)
        return reader.judge(*read)


class PreviewList(Preview[None, ReadListForm], _ListPage[ReadListForm]):
    """Read a file and show the fate of each row; hand out the template."""

    form_class = ReadListForm
    template_name = "inventory/imports/import_list.html"
    preview_template = "inventory/imports/dry_run.html"

    def get_lead(self) -> str:
        return (
            f"{self.kind.lead} The next page shows the result of each row. Nothing is "
            "saved until you confirm."
        )

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form, or answer the template as a file."""
        file = asked_as_file(
            request,
            lambda: template_of(self.kind),
            stem=f"{self.kind.key}-template",
            today=now().date(),
        )
        return file or super().get(request, *args, **kwargs)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(kind=self.kind, **more)

    def preview(self, form: ReadListForm) -> dict[str, Any]:
        place = form.cleaned_data.get("location")
        judged = self.judged(place, (form.rows_read, form.problems))
        kept = store_document(form.content)
        name = clean_file_name(form.cleaned_data["sheet"].name or "")
        shown = {
            "sha256": kept.sha256,
            "size": kept.size,
            "digest": digest_of(judged.fates),
            "file_name": name,
            "place": place.pk if place else None,
        }
        before = standing_import(self.kind.key, kept.sha256)
        takes = judged.new and before is None
        return {
            "form": TakeListForm.showing(self.kind, shown) if takes else None,
            "before": before,
            "kind": self.kind,
            "place": place,
            "file_name": name,
            "new": judged.count("new"),
            "there": judged.count("there"),
            "refused": judged.count("refused"),
            "fates": judged.fates,
            "again": self.request.path,
            "crumbs": [
                *self.get_crumbs(),
                (self.get_title(), self.request.path),
                ("Preview", ""),
            ],
        }


def template_of(kind: ListKind) -> Sheet:
    """Return the kind's columns with one invented row, at a location of this house."""
    example = dict(kind.example)
    place = place_rows().first() if "location" in kind.columns else None
    if place is not None:
        example["location"] = place.name
    columns: list[Column[dict[str, str]]] = [
        Column(heading, "text", _example(name))
        for name, heading in kind.columns.items()
    ]
    return make_sheet(kind.title, columns, [example], currency_of=lambda _row: "")


def _example(name: str) -> Callable[[dict[str, str]], str]:
    return lambda example: example.get(name, "")


class SaveList(_ListPage[TakeListForm]):
    """Take the rows that were previewed, of the file that was previewed."""

    form_class = TakeListForm
    back_words = "Choose another file"

    def get_back(self) -> str:
        return self.request.path

    def prepare(self, form: TakeListForm) -> None:
        """Read the kept file again: a workbook takes its time."""
        data = store.intact_bytes(form.cleaned_data["sha256"])
        if data is None:
            raise RefusedError(GONE)
        try:
            self.read = rows_of(data, self.kind)
        except SheetError as error:
            raise RefusedError(str(error)) from error
        self.media_type = media_type_of(data)

    def act(self, form: TakeListForm) -> Answer:
        shown = form.cleaned_data
        before = standing_import(self.kind.key, shown["sha256"])
        if before is not None:
            return self.nothing(before)
        judged = self.judged(shown["place"], self.read)
        if digest_of(judged.fates) != shown["digest"]:
            raise RefusedError(CHANGED)
        row, is_new = take_list(
            person=self.person,
            at=now(),
            stored=Stored(shown["sha256"], shown["size"]),
            told=ListTold(
                kind=self.kind.key,
                location=shown["place"],
                file_name=shown["file_name"],
                media_type=self.media_type,
                rows=[(one.row, one.fields) for one in judged.new],
                there=judged.count("there"),
                refused=judged.count("refused"),
            ),
        )
        if not is_new:
            return self.nothing(row)
        count = pieces_in_words(row.new_rows, "row")
        return self.done(f"{count} imported.", row=row, page=self.page(row))

    def nothing(self, before: ListImport) -> Answer:
        """Answer a file that was imported before."""
        message = (
            f"This file was imported already, by {before.made_by}. Nothing was imported "
            "a second time."
        )
        return self.done(message, row=before, page=self.page(before))

    def page(self, row: ListImport) -> str:
        """Return the page of an import."""
        return reverse("list_import", args=[row.pk])


def importing(kind: ListKind) -> Callable[[HttpRequest], HttpResponseBase]:
    """Return the view of one kind: preview the rows of a file, or save what was shown."""
    preview, save = PreviewList.as_view(kind=kind), SaveList.as_view(kind=kind)

    @require_http_methods(["GET", "POST"])
    def page(request: HttpRequest) -> HttpResponseBase:
        return (save if "signed" in request.POST else preview)(request)

    return page

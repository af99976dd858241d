"""A ship notice from a file: first the fate of each row, then the new bills are saved."""

from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.actions.core.once import Answer
from inventory.actions.receiving.expected import announce_deliveries
from inventory.forms.receiving.expected import ImportExpectedForm, TakeExpectedForm
from inventory.models import Location
from inventory.queries.receiving.expected import fates_of
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.clock import now, today_at
from inventory.views.core.previews import Preview
from inventory.views.receiving.expected import ExpectedAtPlace


@require_http_methods(["GET", "POST"])
def import_expected(request: HttpRequest) -> HttpResponseBase:
    """Preview the notice in a file, or save the bills that were previewed."""
    view = SaveExpected if "signed" in request.POST else PreviewExpected
    return view.as_view()(request)


class PreviewExpected(
    ExpectedAtPlace[ImportExpectedForm], Preview[Location, ImportExpectedForm]
):
    """Read a file and show the fate of each row. Nothing is saved."""

    form_class = ImportExpectedForm
    template_name = "inventory/receiving/announce.html"
    preview_template = "inventory/receiving/expected_dry_run.html"
    title = "Import a ship notice"
    lead = "The next page shows the result of each row. Nothing is saved until you confirm."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row)}

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"order": "mdy"}

    def preview(self, form: ImportExpectedForm) -> dict[str, Any]:
        supplier = form.cleaned_data["supplier"]
        new, fates = fates_of(form.notice, self.row, supplier)
        take = TakeExpectedForm.showing(self.row, supplier, new, form.file_name)
        return {
            "form": take if new else None,
            "location": self.row,
            "supplier": supplier,
            "file_name": form.file_name,
            "new": new,
            "crates": sum(bill.pieces for bill in new),
            "fates": fates,
            "refused": sum(1 for one in fates if one.state == "refused"),
            "there": sum(1 for one in fates if one.state == "there"),
            "crumbs": [
                *self.get_crumbs(),
                (self.title, reverse("import_expected")),
                ("Preview", ""),
            ],
        }


class SaveExpected(ExpectedAtPlace[TakeExpectedForm]):
    """Save the bills that were previewed."""

    form_class = TakeExpectedForm
    title = "Import the previewed bills"
    back_words = "Choose another file"

    def get_back(self) -> str:
        return reverse("import_expected")

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"location": self.row}

    def act(self, form: TakeExpectedForm) -> Answer:
        made = announce_deliveries(
            person=self.person, at=now(), location=self.row, **form.cleaned_data
        )
        count = pieces_in_words(len(made), "expected bill")
        return self.done(f"{count} imported.", page=reverse("expected"))

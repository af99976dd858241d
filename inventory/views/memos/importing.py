"""A memo from a file: first a preview of each line, then the memo is saved."""

from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.actions.core.once import Answer
from inventory.actions.memos.entering import enter_memo
from inventory.forms.memos.memos import ImportMemoForm, TakeImportForm
from inventory.models import Location
from inventory.queries.deposits.facts import currency_of
from inventory.queries.memos.awaited import awaited_of, fates_of
from inventory.rules.crates.words import MEMO_FATES
from inventory.rules.memos import matching as rules
from inventory.views.core.clock import now, today_at
from inventory.views.core.previews import Preview
from inventory.views.memos.memos import MemoAtPlace


@require_http_methods(["GET", "POST"])
def import_memo(request: HttpRequest) -> HttpResponseBase:
    """Preview the memo in a file, or save the memo that was previewed."""
    view = SaveImport if "signed" in request.POST else PreviewImport
    return view.as_view()(request)


class PreviewImport(MemoAtPlace[ImportMemoForm], Preview[Location, ImportMemoForm]):
    """Read a file and show the result of each line. Nothing is saved."""

    form_class = ImportMemoForm
    template_name = "inventory/memos/import_memo.html"
    preview_template = "inventory/memos/memo_dry_run.html"
    title = "Import a credit memo"
    lead = "The next page previews each line. Nothing is saved until you confirm."

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"received_on": today_at(self.row)}

    def get_form_kwargs(self) -> dict[str, Any]:
        options = {"location": self.row, "today": today_at(self.row)}
        return super().get_form_kwargs() | options

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(others=self.others, **more)

    def preview(self, form: ImportMemoForm) -> dict[str, Any]:
        head = form.head()
        lines = list(form.reading.lines)
        currency = currency_of(self.row, head["supplier"], head["dated_on"])
        pool = awaited_of(self.row, head["supplier"], currency, lines)
        fates = fates_of(lines, pool, currency)
        left_out = rules.left_out(fates, pool)
        return {
            "form": TakeImportForm.showing(self.row, head, lines),
            "location": self.row,
            "head": head,
            "currency": currency,
            "rows": list(zip(lines, fates, strict=True)),
            "sums": [
                (MEMO_FATES[fate], fate, count, cents)
                for fate, (count, cents) in rules.sums_by_fate(fates).items()
            ],
            "total": sum(line.amount for line in lines),
            "left_out": [row.marks[0] if row.marks else "no mark" for row in left_out],
            "crumbs": [
                *self.get_crumbs(),
                (self.title, reverse("import_memo")),
                ("Preview", ""),
            ],
        }


class SaveImport(MemoAtPlace[TakeImportForm]):
    """Save the memo that was previewed."""

    form_class = TakeImportForm
    title = "Save the imported memo"
    back_words = "Choose another file"

    def get_back(self) -> str:
        return reverse("import_memo")

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"location": self.row}

    def act(self, form: TakeImportForm) -> Answer:
        memo = enter_memo(
            location=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.entered(memo)

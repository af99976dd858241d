"""A memo from a file: first it is only shown, line by line; then it is entered."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import person_of, require_somewhere
from inventory.actions.core.versions import RefusedError
from inventory.actions.memos.entering import enter_memo
from inventory.forms.memos.memos import ImportMemoForm, TakeImportForm
from inventory.models import Location, Supplier, User
from inventory.queries.deposits.facts import currency_of
from inventory.queries.memos.awaited import awaited_of, fates_of
from inventory.rules.crates.words import MEMO_FATES
from inventory.rules.memos import matching as rules
from inventory.rules.memos.matching import Line
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import posted
from inventory.views.memos.memos import place_of

_SALT = "inventory.memo-import"
_MOST_AGE = 12 * 60 * 60

DAMAGED = (
    "The lines shown did not come back whole, or the page is older than twelve hours. "
    "Nothing was saved. Choose the file again."
)


@require_http_methods(["GET", "POST"])
def import_memo(request: HttpRequest) -> HttpResponse:
    """Read a file and show every line's fate; enter it once that was seen."""
    person = person_of(request)
    require_somewhere(person, "post-deposits")
    location, others = place_of(request, person)
    if "signed" in request.POST:
        return _take(request, location, person)
    today = today_at(location)
    form = ImportMemoForm(
        posted(request),
        request.FILES if request.method == "POST" else None,
        location=location,
        today=today,
        initial={"received_on": today},
    )
    if request.method == "POST" and form.is_valid():
        return _show(request, location, form)
    return _form_page(request, form, location, others)


def _form_page(
    request: HttpRequest,
    form: ImportMemoForm,
    location: Location,
    others: list[Location],
) -> HttpResponse:
    context = {
        "form": form,
        "location": location,
        "others": others,
        "reading": form.reading,
        "crumbs": [("Credit memos", reverse("memos")), ("Import a memo", "")],
    }
    status = 422 if form.errors else 200
    return render(request, "inventory/memos/import_memo.html", context, status=status)


def _show(
    request: HttpRequest, location: Location, form: ImportMemoForm
) -> HttpResponse:
    """Show what each line would come to. Nothing is written."""
    head = form.head()
    lines = list(form.reading.lines)
    currency = currency_of(location, head["supplier"], head["dated_on"])
    pool = awaited_of(location, head["supplier"], currency)
    fates = fates_of(lines, pool, currency)
    left_out = rules.left_out(fates, pool)
    context = {
        "form": TakeImportForm(initial={"signed": _sign(location, head, lines)}),
        "location": location,
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
            ("Credit memos", reverse("memos")),
            ("Import a memo", reverse("import_memo")),
            ("What it comes to", ""),
        ],
    }
    return render(request, "inventory/memos/memo_dry_run.html", context)


def _sign(location: Location, head: dict[str, Any], lines: list[Line]) -> str:
    supplier: Supplier = head["supplier"]
    told = {
        "location": location.pk,
        "supplier": supplier.pk,
        "number": head["number"],
        "dated_on": head["dated_on"].isoformat(),
        "received_on": head["received_on"].isoformat(),
        "lines": [
            [line.position, line.amount, line.mark, line.type_name, line.remark]
            for line in lines
        ],
    }
    return signing.dumps(told, salt=_SALT, compress=True)


def _take(request: HttpRequest, location: Location, person: User) -> HttpResponse:
    """Enter the memo that was shown."""
    try:
        told = signing.loads(request.POST["signed"], salt=_SALT, max_age=_MOST_AGE)
    except signing.BadSignature:
        messages.error(request, DAMAGED)
        return redirect("import_memo")
    if told["location"] != location.pk:
        messages.error(request, DAMAGED)
        return redirect("import_memo")
    try:
        memo = enter_memo(
            location=location,
            supplier=Supplier.objects.get(pk=told["supplier"]),
            number=told["number"],
            dated_on=date.fromisoformat(told["dated_on"]),
            received_on=date.fromisoformat(told["received_on"]),
            lines=[Line(*values) for values in told["lines"]],
            person=person,
            at=now(),
        )
    except RefusedError as error:
        messages.error(request, str(error))
        return redirect("import_memo")
    messages.success(request, f"{memo} is entered. Nothing is posted yet.")
    return redirect("memo", memo.pk)

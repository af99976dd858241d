"""What a crate is known by, and the labels that say so."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from inventory.access import may, obtain, person_of, scoped
from inventory.actions.core.versions import RefusedError
from inventory.actions.crates import identity as acts
from inventory.addresses import DOCK, address_at, address_of
from inventory.documents.labels.sheets import SHEETS, SINGLES, Paper
from inventory.forms.crates.identity import CrateIdentityForm
from inventory.models import Crate, Shipment, User
from inventory.queries.crates.identity import crates_to_label, crates_with_same_key
from inventory.rules.codes.label_content import CrateLabel
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.ways import go_to


@require_http_methods(["GET", "POST"])
def set_crate_identity(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a crate its mark, its GS1 keys and its supplier's code."""
    person = person_of(request)
    rows = Crate.objects.select_related("shipment__location")
    row = obtain(rows, person, pk, "keep-crates")
    names = ("version", "mark", "sscc", "supplier_code")
    initial = {name: getattr(row, name) for name in names}
    initial["grai"] = f"(8003){row.grai}" if row.grai else ""
    form = CrateIdentityForm(posted(request), initial=initial)

    def act() -> HttpResponse:
        crate = acts.mark_crate(person=person, at=now(), crate=row, **form.cleaned_data)
        messages.success(request, f"{crate} is saved.")
        _warn_of_others(request, person, crate)
        return go_to(address_of(crate))

    page = ActPage(
        kicker=str(row.shipment),
        title=f"Crate {row.number}: mark and codes",
        back=address_of(row),
        back_words=f"Back to {row}",
        lead="Write what stands on it. A scanner's text and a link are read too.",
        row=row,
        crumbs=_crumbs(row.shipment, str(row)),
    )
    return answer_act(request, form, page, act)


def _warn_of_others(request: HttpRequest, person: User, crate: Crate) -> None:
    others = crates_with_same_key(scoped(Crate.objects.all(), person), crate)
    if others:
        named = "; ".join(f"{other}, {other.shipment}" for other in others[:3])
        more = f" and {len(others) - 3} more" if len(others) > 3 else ""
        messages.warning(
            request,
            f"Saved, but another crate on hand bears the same: {named}{more}. Compare "
            "the two labels; one of them is wrong.",
        )


@require_POST
def give_marks(request: HttpRequest, pk: int) -> HttpResponse:
    """Give each reusable crate of a bill that has no key a mark of the house."""
    person = person_of(request)
    row = obtain(Shipment.objects.select_related("location"), person, pk, "keep-crates")
    try:
        crates = acts.give_marks(person=person, at=now(), shipment=row)
    except RefusedError as error:
        messages.error(request, str(error))
    else:
        words = "crate has a mark" if len(crates) == 1 else "crates have marks"
        messages.success(request, f"{len(crates)} {words} now. Print the labels.")
    return redirect("crate_labels", row.pk)


@require_safe
def crate_labels(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose which labels of a bill to print, and on what."""
    person = person_of(request)
    row = obtain(_bills(), person, pk, "see")
    return _choose(request, person, row)


@require_safe
def crate_labels_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the chosen labels as PDF: on sheets of labels, or one a page."""
    from inventory.documents.labels import labels as drawing  # noqa: PLC0415 - slow to import

    person = person_of(request)
    row = obtain(_bills(), person, pk, "see")
    paper: Paper = "a4" if row.location.paper == "a4" else "letter"
    labels = _chosen(request.GET, row)
    start = _start(request.GET.get("start", "1"), SHEETS[paper].count)
    if not labels or start is None:
        problem = (
            f"Choose a first label from 1 to {SHEETS[paper].count}."
            if labels
            else "Choose at least one crate that has a mark."
        )
        return _choose(request, person, row, problem)
    title = f"Crate labels, {row}"
    if request.GET.get("layout") == "single":
        pdf = drawing.single_labels_pdf(labels, paper=paper, title=title)
    else:
        pdf = drawing.label_sheet_pdf(labels, paper=paper, start=start, title=title)
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="crate-labels-{row.pk}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def _bills() -> QuerySet[Shipment]:
    return Shipment.objects.select_related("location", "supplier")


def _chosen(asked: QueryDict, row: Shipment) -> list[CrateLabel]:
    wanted = set(asked.getlist("crate"))
    return [
        label
        for crate, label in crates_to_label(row)
        if label and str(crate.pk) in wanted
    ]


def _start(text: str, most: int) -> int | None:
    """Return the first label to print on, from 1; None for what is not on the sheet."""
    if not (text.isascii() and text.isdigit() and len(text) <= 3):
        return None
    return int(text) if 1 <= int(text) <= most else None


def _choose(
    request: HttpRequest, person: User, row: Shipment, problem: str = ""
) -> HttpResponse:
    offered = crates_to_label(row)
    chosen = set(request.GET.getlist("crate"))
    if not chosen and not problem:
        chosen = _usual(offered)
    rows = [
        {"crate": crate, "label": label, "is_chosen": str(crate.pk) in chosen}
        for crate, label in offered
    ]
    paper: Paper = "a4" if row.location.paper == "a4" else "letter"
    context = {
        "shipment": row,
        "rows": rows,
        "some": any(each["label"] for each in rows),
        "bare": [each["crate"] for each in rows if not each["label"]],
        "unmarked": len(acts.unmarked_of(row)),
        "may_keep": may(person, row.location_id, "keep-crates"),
        "sheet": SHEETS[paper],
        "single_words": SINGLES[paper][2],
        "layout": request.GET.get("layout", "sheet"),
        "start": request.GET.get("start", "1")[:3],
        "problem": problem,
        "crumbs": _crumbs(row, "Crate labels"),
    }
    status = 422 if problem else 200
    return render(request, "inventory/crates/crate_labels.html", context, status=status)


def _usual(offered: list[tuple[Crate, CrateLabel | None]]) -> set[str]:
    """Choose the reusable crates that have a label; all that have where none is."""
    labelled = [crate for crate, label in offered if label]
    reusable = [crate for crate in labelled if crate.kind == "reusable"]
    return {str(crate.pk) for crate in reusable or labelled}


def _crumbs(shipment: Shipment, last: str) -> list[tuple[str, str]]:
    bill = address_of(shipment)
    return [("Dock", address_at(DOCK)), (str(shipment), bill), (last, "")]

"""A crate's mark and codes, and the labels with them."""

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import may, obtain, person_of, scoped
from inventory.actions.core.once import Answer
from inventory.actions.crates import identity as acts
from inventory.addresses import DOCK, address_at, address_of
from inventory.documents.labels.sheets import SHEETS, SINGLES, Paper
from inventory.forms.crates.identity import CrateIdentityForm, GiveMarksForm
from inventory.models import Crate, Shipment, User
from inventory.queries.crates.identity import crates_to_label, crates_with_same_key
from inventory.rules.codes.label_content import CrateLabel
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at


class SetCrateIdentity(ActView[Crate, CrateIdentityForm]):
    """Set a crate's mark, its GS1 keys and its supplier's code."""

    permission = "keep-crates"
    form_class = CrateIdentityForm
    lead = "Enter what is on the label. You can also scan it or paste its link."

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.objects.select_related("shipment__location")

    def get_title(self) -> str:
        return f"Crate {self.row.number}: mark and codes"

    def get_kicker(self) -> str:
        return str(self.row.shipment)

    def get_back(self) -> str:
        return address_of(self.row)

    def get_back_words(self) -> str:
        return f"Back to {self.row}"

    def get_crumbs(self) -> Crumbs:
        return [*_above(self.row.shipment), (str(self.row), self.get_back())]

    def get_initial(self) -> dict[str, Any]:
        row = self.row
        grai = f"(8003){row.grai}" if row.grai else ""
        return super().get_initial() | {
            "mark": row.mark,
            "sscc": row.sscc,
            "supplier_code": row.supplier_code,
            "grai": grai,
        }

    def act(self, form: CrateIdentityForm) -> Answer:
        row = acts.mark_crate(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        return self.done(f"{row} saved.", row=row)

    def follow_up(self, form: CrateIdentityForm, answer: Answer) -> None:
        """Warn of other crates on hand with the same mark or key."""
        row = self.get_row()
        others = crates_with_same_key(scoped(Crate.objects.all(), self.person), row)
        if others:
            named = "; ".join(f"{other}, {other.shipment}" for other in others[:3])
            more = f" and {len(others) - 3} more" if len(others) > 3 else ""
            messages.warning(
                self.request,
                f"Saved, but another crate on hand has the same mark or code: "
                f"{named}{more}. Compare the labels; one of them is wrong.",
            )


class GiveMarks(ActView[Shipment, GiveMarksForm]):
    """Give each reusable crate of a bill that has no key a mark of our own."""

    permission = "keep-crates"
    form_class = GiveMarksForm
    title = "Assign crate marks"
    back_words = "Back to the labels"

    def get_queryset(self) -> QuerySet[Shipment]:
        return _bills()

    def get_kicker(self) -> str:
        return str(self.row)

    def get_lead(self) -> str:
        count = len(acts.unmarked_of(self.row))
        crates = (
            "1 reusable crate has" if count == 1 else f"{count} reusable crates have"
        )
        return f"{crates} no mark yet." if count else ""

    def get_back(self) -> str:
        return reverse("crate_labels", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [*_above(self.row), ("Crate labels", self.get_back())]

    def act(self, form: GiveMarksForm) -> Answer:
        count = len(acts.give_marks(person=self.person, at=now(), shipment=self.row))
        crates = "crate has a mark" if count == 1 else "crates have marks"
        return self.done(f"{count} {crates} now. Print the labels.")


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
    title, today = f"Crate labels, {row}", today_at(row.location)
    if request.GET.get("layout") == "single":
        pdf = drawing.single_labels_pdf(labels, paper=paper, title=title, made_on=today)
    else:
        pdf = drawing.label_sheet_pdf(
            labels, paper=paper, start=start, title=title, made_on=today
        )
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
    """Return the first label to print on, from 1; None where the sheet has no such."""
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
        "crumbs": [*_above(row), ("Crate labels", "")],
        "marks_form": GiveMarksForm(),
    }
    status = 422 if problem else 200
    return render(request, "inventory/crates/crate_labels.html", context, status=status)


def _usual(offered: list[tuple[Crate, CrateLabel | None]]) -> set[str]:
    """Choose the reusable crates with a label; where there are none, all with one."""
    labelled = [crate for crate, label in offered if label]
    reusable = [crate for crate in labelled if crate.kind == "reusable"]
    return {str(crate.pk) for crate in reusable or labelled}


def _above(shipment: Shipment) -> list[tuple[str, str]]:
    return [("Dock", address_at(DOCK)), (str(shipment), address_of(shipment))]

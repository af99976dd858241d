"""Credits held in suspense: the undecided ones, and the ways to decide one."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import may, obtain, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.actions.memos import suspense as acts
from inventory.actions.memos.later import match_credit
from inventory.forms.memos.short_credits import DecideShortForm
from inventory.forms.memos.suspense import AnswerForm, MatchHeldForm
from inventory.models import SuspenseLine
from inventory.queries.core.history import story_of
from inventory.queries.memos.listing import open_credits, suspense_rows
from inventory.queries.memos.memo_sheets import suspense_sheet
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import Crumbs
from inventory.views.core.clock import today_somewhere
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file
from inventory.views.memos.deciding import CreditDecision

Form = TypeVar("Form", bound=DecideShortForm)


@require_safe
def suspense(request: HttpRequest) -> HttpResponse:
    """List the credits held in suspense: the undecided, or with ``which=all`` each."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    which = "all" if request.GET.get("which") == "all" else "live"
    rows = suspense_rows(person, which)
    file = asked_as_file(
        request,
        lambda: suspense_sheet(rows),
        stem="suspense",
        today=today_somewhere(person),
    )
    if file:
        return file
    context = {
        "page": page_of(request, rows),
        "which": which,
        "crumbs": [("Credit memos", reverse("memos")), ("Suspense", "")],
    }
    return render(request, "inventory/memos/suspense.html", context)


@require_safe
def suspense_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one held credit: where it comes from, and how it may be decided."""
    person = person_of(request)
    row = obtain(_held(), person, pk, "see-deposits")
    context = {
        "held": row,
        "is_open": row.state in row.life.live,
        "documents": row.evidence.order_by("received_at", "pk"),
        "story": story_of([row], row.location, leave_out=()),
        "may_post": may(person, row.location_id, "post-deposits"),
        "may_approve": may(person, row.location_id, "approve-write-off"),
        "crumbs": [("Suspense", reverse("suspense")), (str(row.memo_line), "")],
    }
    return render(request, "inventory/memos/suspense_line.html", context)


class _Ending(CreditDecision[SuspenseLine, Form]):
    """A decision on the held credit of the address, with its day."""

    back_words = "Back to the held credit"

    def get_queryset(self) -> QuerySet[SuspenseLine]:
        return _held()

    def get_back(self) -> str:
        return reverse("suspense_line", args=[self.row.pk])

    def get_kicker(self) -> str:
        amount = format_cents(self.row.amount_cents, self.row.currency, code=True)
        return f"{amount} of {self.row.supplier}, {self.row.memo_line}"

    def get_crumbs(self) -> Crumbs:
        here = (str(self.row.memo_line), self.get_back())
        return [("Suspense", reverse("suspense")), here]


class MatchHeld(_Ending[MatchHeldForm]):
    """Match a held credit to a crate of ours."""

    form_class = MatchHeldForm
    title = "Match the credit to a crate"
    button = "Match the credit"
    lead = "It pays what is open on the crate. Anything left of it stays in suspense."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"candidates": open_credits(self.row)}

    def act(self, form: MatchHeldForm) -> Answer:
        match_credit(
            line=self.row,
            version=form.cleaned_data["version"],
            deposit=form.cleaned_data["deposit"],
            decided=self.decided(form),
        )
        return self.done("Credit matched.")


class ReturnHeld(_Ending[DecideShortForm]):
    """Return a held credit to the supplier."""

    form_class = DecideShortForm
    title = "Return the credit to the supplier"
    button = "Return the credit"
    lead = "Use this once the supplier takes the credit back, or we pay it back."

    def act(self, form: DecideShortForm) -> Answer:
        acts.return_credit(
            line=self.row,
            version=form.cleaned_data["version"],
            decided=self.decided(form),
        )
        return self.done("Credit returned to the supplier.")


class TakeByAnswer(_Ending[AnswerForm]):
    """Take a held credit as income: the supplier wrote that it is ours."""

    form_class = AnswerForm
    title = "Take the credit as income"
    lead = "Only the supplier's written answer makes it ours. Its age does not."
    photo_kind = "other"

    def get_photo_about(self) -> About:
        return About(suspense_line=self.row)

    def get_photo_caption(self, form: AnswerForm) -> str:
        return "Supplier's written answer"

    def get_strip(self) -> None:
        """Take the files with the form: they are few."""

    def act(self, form: AnswerForm) -> Answer:
        got = form.cleaned_data
        acts.take_by_answer(
            line=self.row,
            version=got["version"],
            answer=acts.WrittenAnswer(got["answered_on"], got["answered_by"]),
            decided=self.decided(form),
        )
        return self.done("Credit taken as income.")


class TakeByReason(_Ending[DecideShortForm]):
    """Take a held credit as income by a manager's reason."""

    permission = "approve-write-off"
    form_class = DecideShortForm
    title = "Take the credit as income"
    lead = (
        "Without the supplier's written answer, the reason must say why the credit is "
        "ours. Its age is no reason."
    )

    def act(self, form: DecideShortForm) -> Answer:
        acts.take_by_reason(
            line=self.row,
            version=form.cleaned_data["version"],
            decided=self.decided(form),
        )
        return self.done("Credit taken as income.")


def _held() -> QuerySet[SuspenseLine]:
    return SuspenseLine.objects.select_related(
        "location", "supplier", "memo_line__memo", "deposit__crate"
    )

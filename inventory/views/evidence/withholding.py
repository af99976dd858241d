"""Hiding a photo and showing it again: a manager's act, with the reason."""

from typing import TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inventory.actions.core.once import Answer
from inventory.actions.evidence import withholding as acts
from inventory.forms.core.base import HouseForm
from inventory.forms.evidence.withholding import ShowAgainForm, WithholdForm
from inventory.models import Evidence, Withholding
from inventory.views.core.act_view import ActView
from inventory.views.core.clock import now

Form = TypeVar("Form", bound=HouseForm)


class _PhotoAct(ActView[Evidence, Form]):
    """An act on one photo or document, shown or hidden."""

    permission = "withhold-evidence"
    back_words = "Back without changing anything"
    verb: str

    def get_queryset(self) -> QuerySet[Evidence]:
        return Evidence.everything.select_related("location")

    def get_title(self) -> str:
        return f"{self.verb}: {self.row.caption or self.row.get_kind_display()}"

    def get_back(self) -> str:
        return reverse("evidence", args=[self.row.pk])


class WithholdEvidence(_PhotoAct[WithholdForm]):
    """Hide one photo or document from people and claim files."""

    form_class = WithholdForm
    verb = "Hide"
    lead = (
        "Nobody will see it here, and claim files made from now on leave it out. A "
        "claim file made before does not change. The original is saved, and the "
        "reason is shown in its place."
    )

    def act(self, form: WithholdForm) -> Answer:
        acts.withhold_evidence(
            person=self.person,
            at=now(),
            evidence=self.row,
            reason=form.cleaned_data["reason"],
        )
        return self.done("Hidden. The original is saved.")


class ShowEvidence(_PhotoAct[ShowAgainForm]):
    """Show a hidden photo or document again."""

    form_class = ShowAgainForm
    verb = "Show again"
    lead = (
        "People will see it again, and the next claim file can include it. Its "
        "history says that it was hidden."
    )

    def act(self, form: ShowAgainForm) -> Answer:
        acts.show_evidence_again(
            person=self.person,
            at=now(),
            evidence=self.row,
            reason=form.cleaned_data["reason"],
        )
        return self.done("Shown again.")


def gone(request: HttpRequest, word: Withholding) -> HttpResponse:
    """Answer for a photo or original that is hidden: 410, with the reason."""
    context = {"word": word}
    return render(request, "inventory/evidence/withheld.html", context, status=410)

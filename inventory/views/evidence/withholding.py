"""Withholding a photo and showing it again: a manager's act, with the reason."""

from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import obtain, person_of
from inventory.actions.evidence import withholding as acts
from inventory.forms.evidence.withholding import ShowAgainForm, WithholdForm
from inventory.models import Evidence, Withholding
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted


@require_http_methods(["GET", "POST"])
def withhold_evidence(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Hide one photo or document from people and packets."""
    person = person_of(request)
    row = obtain(_rows(), person, pk, "withhold-evidence")
    form = WithholdForm(posted(request))

    def act() -> HttpResponse:
        acts.withhold_evidence(
            person=person, at=now(), evidence=row, reason=form.cleaned_data["reason"]
        )
        messages.success(request, "It is withheld. Its bytes and hash are kept.")
        return redirect("evidence", row.pk)

    return answer_act(request, form, _page(row, "Withhold", _WITHHOLD), act)


@require_http_methods(["GET", "POST"])
def show_evidence(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a withheld photo or document again."""
    person = person_of(request)
    row = obtain(_rows(), person, pk, "withhold-evidence")
    form = ShowAgainForm(posted(request))

    def act() -> HttpResponse:
        acts.show_evidence_again(
            person=person, at=now(), evidence=row, reason=form.cleaned_data["reason"]
        )
        messages.success(request, "It is shown again.")
        return redirect("evidence", row.pk)

    return answer_act(request, form, _page(row, "Show again", _SHOW), act)


_WITHHOLD = (
    "Nobody will see it here, and no packet made from now on will hold it. A packet "
    "that was already made stays as it was sent. The original bytes, their hash and "
    "this record are kept, and the reason is shown in its place."
)
_SHOW = (
    "People will see it again, and the next packet may hold it. That it was "
    "withheld stays on record."
)


def _rows() -> QuerySet[Evidence]:
    return Evidence.everything.select_related("location")


def _page(row: Evidence, verb: str, lead: str) -> ActPage:
    return ActPage(
        title=f"{verb}: {row.caption or row.get_kind_display()}",
        back=reverse("evidence", args=[row.pk]),
        back_words="Back without changing anything",
        lead=lead,
    )


def gone(request: HttpRequest, word: Withholding) -> HttpResponse:
    """Answer for a picture or original that is withheld: 410, with the reason."""
    return render(
        request, "inventory/evidence/withheld.html", {"word": word}, status=410
    )

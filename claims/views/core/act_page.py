"""One act on one page: what was done is said, and the way leads back."""

from collections.abc import Callable

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from claims.models import Claim
from claims.queries.core.facts import claim_cents
from inventory.forms.core.base import HouseForm
from inventory.rules.reckoning.money import format_cents
from inventory.views.core import one_act
from inventory.views.core.one_act import ActPage, posted

__all__ = ["ActPage", "answer_act", "claim_act_page", "posted"]


def answer_act(
    request: HttpRequest, form: HouseForm, page: ActPage, act: Callable[[], str]
) -> HttpResponse:
    """Show the form, or run the act on a valid one and go back.

    ``act`` returns the sentence that says what was done. What it refuses is put on
    the form, with all that was typed, as 422.
    """

    def done() -> HttpResponse:
        messages.success(request, act())
        return redirect(page.back)

    return one_act.answer_act(request, form, page, done)


def claim_act_page(
    claim: Claim,
    title: str,
    lead: str = "",
    *,
    row: Model | None = None,
    is_late: bool = False,
) -> ActPage:
    """Return what stands around a form that acts on a claim, or on a row of it."""
    back = reverse("claim", args=[claim.pk])
    facts = (
        ("Claim", claim.number),
        ("Carrier", claim.shipment.carrier.name),
        ("PRO", claim.shipment.pro_number),
        ("Amount claimed", format_cents(claim_cents(claim), claim.currency, code=True)),
    )
    return ActPage(
        title=title,
        back=back,
        back_words=f"Back to claim {claim.number} without saving",
        kicker=f"Claim {claim.number}",
        lead=lead,
        row=row or claim,
        template="claims/core/act.html",
        crumbs=[
            ("Claims", reverse("claims")),
            (f"Claim {claim.number}", back),
            (title, ""),
        ],
        more={"facts": facts, "is_late": is_late},
    )

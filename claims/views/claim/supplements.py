"""A supplement on its own way to the carrier: sent, and proven received."""

from collections.abc import Callable
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from claims.access import obtain, person_of
from claims.actions.claim import supplements
from claims.forms.claim.steps import ReceiptForm, SendForm
from claims.models import Supplement
from claims.views.claim.steps import claim_act_page, keep_proof, step_from
from claims.views.core.act_page import ActPage, answer_act, posted
from inventory.models import User
from inventory.views.core.clock import today_at


def _asked_supplement(
    request: HttpRequest, pk: int
) -> tuple[User, Supplement, date, Callable[..., ActPage]]:
    person = person_of(request)
    rows = Supplement.objects.select_related(
        "claim__location", "claim__shipment__carrier", "claim__shipment__location"
    ).prefetch_related("claim__lines")
    row = obtain(rows, person, pk, "make-claim")

    def page(title: str, lead: str) -> ActPage:
        return claim_act_page(row.claim, f"{title} {row.number}", lead, row=row)

    return person, row, today_at(row.claim.location), page


@require_http_methods(["GET", "POST"])
def send_supplement(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that a supplement went to the carrier."""
    person, row, today, page = _asked_supplement(request, pk)
    form = SendForm(posted(request), today=today, initial={"version": row.version})

    def act() -> str:
        supplements.send_supplement(
            supplement=row,
            how=form.cleaned_data["how"],
            step=step_from(form, person, today),
        )
        return f"Supplement {row.number} is recorded as sent."

    lead = "The time for a claim runs for a supplement too, until it is received."
    return answer_act(request, form, page("Send supplement", lead), act)


@require_http_methods(["GET", "POST"])
def receive_supplement(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the day on which the carrier received a supplement."""
    person, row, today, page = _asked_supplement(request, pk)
    form = ReceiptForm(
        posted(request),
        request.FILES or None,
        today=today,
        initial={"version": row.version},
    )

    def act() -> str:
        supplements.receive_supplement(
            supplement=row,
            step=step_from(form, person, today),
            proof=keep_proof(form, row.claim.shipment, person),
        )
        return f"Receipt of supplement {row.number} is proven."

    lead = "Received counts, not sent."
    return answer_act(request, form, page("Prove receipt of supplement", lead), act)

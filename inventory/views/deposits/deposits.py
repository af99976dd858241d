"""One deposit: its page, and matching, taking back and forfeiting it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import may, obtain, person_of
from inventory.actions.deposits import ending as acts
from inventory.forms.deposits.deposits import ForfeitForm, MatchForm, WithdrawForm
from inventory.models import Deposit, User
from inventory.queries.core.history import story_of
from inventory.queries.deposits.listing import deposit_page, matching_crates
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted

ACT = "post-deposits"


@require_safe
def deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what stands on a deposit, how it came about, and what can be done."""
    person = person_of(request)
    row = _deposit(person, pk, "see-deposits")
    context = {
        "page": deposit_page(row.pk, today_at(row.location)),
        "may_post": may(person, row.location_id, ACT),
        "story": story_of([row], row.location, leave_out=()),
        "crumbs": [("Deposits", reverse("deposits")), (str(row), "")],
    }
    return render(request, "inventory/deposits/deposit.html", context)


@require_http_methods(["GET", "POST"])
def match_deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which crate the deposit is on."""
    person = person_of(request)
    row = _deposit(person, pk, ACT)
    crates = matching_crates(row)
    form = MatchForm(posted(request), crates=crates, initial={"version": row.version})

    def act() -> HttpResponse:
        crate = form.cleaned_data["crate"]
        acts.match_deposit(
            deposit=row,
            crate=crate,
            version=form.cleaned_data["version"],
            person=person,
            at=now(),
        )
        messages.success(request, f"The deposit is on {crate}.")
        return redirect("deposit", row.pk)

    lead = (
        "The crates listed are this supplier's reusable crates here that carry no "
        "deposit. Refused crates are not among them: they are never charged."
        if crates.exists()
        else "This supplier has no reusable crate here without a deposit. List the "
        "crate on its freight bill first, or say there that it is reusable."
    )
    return answer_act(request, form, _page(row, "Match to a crate", lead), act)


@require_http_methods(["GET", "POST"])
def withdraw_deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the charge back by a reversal."""
    person = person_of(request)
    row = _deposit(person, pk, ACT)
    form = WithdrawForm(
        posted(request),
        today=today_at(row.location),
        initial={"version": row.version},
    )

    def act() -> HttpResponse:
        acts.withdraw_deposit(deposit=row, person=person, at=now(), **form.cleaned_data)
        messages.success(request, "The charge is taken back by a reversal.")
        return redirect("deposit", row.pk)

    lead = "For a charge that was wrong, or that the supplier took off the invoice."
    return answer_act(request, form, _page(row, "Take the charge back", lead), act)


@require_http_methods(["GET", "POST"])
def forfeit_deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the deposit down as lost."""
    person = person_of(request)
    row = _deposit(person, pk, ACT)
    form = ForfeitForm(posted(request), today=today_at(row.location))

    def act() -> HttpResponse:
        values = form.cleaned_data
        acts.forfeit_deposit(
            deposit=row,
            forfeited_on=values["effective_on"],
            reason=values["reason"],
            posting_key=values["posting_key"],
            person=person,
            at=now(),
        )
        messages.success(request, "The deposit is forfeited.")
        return redirect("deposit", row.pk)

    lead = (
        "For a crate that will not go back: not returned in time, or scrapped. What "
        "still stands on it becomes a loss, and the crate is ours."
    )
    return answer_act(request, form, _page(row, "Forfeit the deposit", lead), act)


def _deposit(person: User, pk: int, act: str) -> Deposit:
    rows = Deposit.objects.select_related("location", "supplier", "crate__shipment")
    return obtain(rows, person, pk, act)


def _page(row: Deposit, title: str, lead: str) -> ActPage:
    back = reverse("deposit", args=[row.pk])
    amount = format_cents(row.amount_cents, row.currency, code=True)
    return ActPage(
        title=title,
        back=back,
        back_words="Back to the deposit",
        kicker=f"{amount} · {row.supplier}",
        lead=lead,
        row=row,
        crumbs=[
            ("Deposits", reverse("deposits")),
            (str(row), back),
            (title, ""),
        ],
    )

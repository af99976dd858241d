"""Locking a period of the books, and the dealer's own account numbers."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.actions.ledger import periods as books
from inventory.forms.ledger.books import AccountNumbersForm, LockForm
from inventory.models import AccountNumber, Location, PeriodLock
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted

ACT = "post-deposits"


@require_http_methods(["GET", "POST"])
def lock_period(request: HttpRequest) -> HttpResponse:
    """Lock the books of a location through a day."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = locations_of(person, ACT)
    today = max(today_at(place) for place in places)
    form = LockForm(posted(request), places=places, yesterday=today - timedelta(days=1))

    def act() -> HttpResponse:
        values = form.cleaned_data
        lock = books.lock_period(person=person, at=now(), **values)
        messages.success(
            request, f"The books of {lock.location} are {str(lock).lower()}."
        )
        return redirect("lock_period")

    locks = PeriodLock.objects.filter(location__in=places)
    page = ActPage(
        title="Lock a period",
        back=reverse("deposits"),
        back_words="Back to the deposits",
        kicker="Books",
        lead="Once a month is agreed with the supplier, lock it. No entry takes effect "
        "on or before that day any more, and a lock is never taken back.",
        template="inventory/ledger/lock_period.html",
        crumbs=[("Deposits", reverse("deposits")), ("Lock a period", "")],
        more={
            "locks": locks.select_related("location", "locked_by").order_by(
                "location__name", "-through", "-pk"
            )[:50]
        },
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def account_numbers(request: HttpRequest) -> HttpResponse:
    """Say which accounts of the dealer's own books ours are."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = list(locations_of(person, ACT))
    key = request.GET.get("place", "")
    rows = Location.objects.all()
    place = obtain(rows, person, key, ACT) if key else places[0]
    kept = {row.kind: row for row in AccountNumber.objects.filter(location=place)}
    form = AccountNumbersForm(posted(request), kept=kept)

    def act() -> HttpResponse:
        changed = books.number_accounts(
            location=place, given=form.numbered(), person=person, at=now()
        )
        many = "1 account" if changed == 1 else f"{changed} accounts"
        messages.success(request, f"{many} of {place} numbered.")
        return redirect(f"{reverse('account_numbers')}?place={place.pk}")

    page = ActPage(
        title="Account numbers",
        back=reverse("deposits"),
        back_words="Back to the deposits",
        kicker=str(place),
        lead="The numbers that the dealer's own books give these accounts. The journal "
        "and its export carry them.",
        template="inventory/ledger/account_numbers.html",
        crumbs=[("Deposits", reverse("deposits")), ("Account numbers", "")],
        more={"places": places if len(places) > 1 else [], "place": place},
    )
    return answer_act(request, form, page, act)

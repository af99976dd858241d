"""The time at the bench: what was booked on a machine, booking it, taking it back."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.bench import minutes as acts
from claims.forms.bench.minutes import BookMinutesForm, TakeBackForm
from claims.models import BookedMinutes, Finding
from claims.queries.bench.minutes import findings_on, time_page
from claims.rules.bench.minutes import WORK, time_words
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.models import Unit
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at


def _units() -> QuerySet[Unit]:
    return Unit.objects.select_related("shipment__location")


def _crumbs(unit: Unit) -> Crumbs:
    return [
        ("Bench", reverse("bench")),
        (str(unit), reverse("unit", args=[unit.pk])),
        ("Time", reverse("minutes", args=[unit.pk])),
    ]


@require_safe
def minutes(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the time booked on a machine, with its sums and what a claim may ask."""
    person = person_of(request)
    unit = obtain(_units(), person, pk, "see")
    here = unit.shipment.location_id
    context = {
        "unit": unit,
        "page": time_page(unit),
        "location": unit.shipment.location,
        "may_book": may(person, here, "inspect"),
        "may_see_money": may(person, here, "see-claims"),
        "crumbs": [*_crumbs(unit)[:2], ("Time", "")],
    }
    return render(request, "claims/bench/minutes.html", context)


class BookMinutes(ActView[Unit, BookMinutesForm]):
    """Book time on a machine: setup, our own cost, or damage, at the rate shown."""

    permission = "inspect"
    form_class = BookMinutesForm
    title = "Book time"
    back_words = "Back to the time without saving"

    def get_queryset(self) -> QuerySet[Unit]:
        return _units()

    @cached_property
    def findings(self) -> list[Finding]:
        """Return the findings on the machine."""
        return list(findings_on(self.row))

    def get_kicker(self) -> str:
        return str(self.row)

    def get_lead(self) -> str:
        bill = self.row.shipment
        location, currency = bill.location, bill.currency
        rate = "There is no shop rate yet, so damage has no price."
        if location.currency != currency:
            rate = (
                f"The bill is in {currency} and the shop rate is not, so the hourly rate "
                "of damage is entered when it is priced."
            )
        elif location.shop_rate_cents:
            words = format_cents(location.shop_rate_cents, currency, code=True)
            source = location.shop_rate_source
            rate = (
                f"Damage counts at {words} an hour{f' ({source})' if source else ''}."
            )
        return f"Setup is our own cost and never reaches a claim. {rate}"

    def get_back(self) -> str:
        return reverse("minutes", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return _crumbs(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "findings": self.findings,
            "today": today_at(self.row.shipment.location),
        }

    def get_initial(self) -> dict[str, Any]:
        only = str(self.findings[0].pk) if len(self.findings) == 1 else ""
        asked = self.request.GET.get("finding", "")
        return super().get_initial() | {
            "done_on": today_at(self.row.shipment.location),
            "finding": asked or only,
        }

    def act(self, form: BookMinutesForm) -> Answer:
        row = acts.book_minutes(
            person=self.person, at=now(), unit=self.row, **form.cleaned_data
        )
        work = mid_sentence(WORK[row.work])
        return self.done(f"Booked: {time_words(row.minutes)}, {work}.")


class ReverseMinutes(ActView[BookedMinutes, TakeBackForm]):
    """Take back time booked by mistake; both rows stay."""

    permission = "inspect"
    form_class = TakeBackForm
    title = "Take back time"
    back_words = "Back to the time without saving"

    def get_queryset(self) -> QuerySet[BookedMinutes]:
        return BookedMinutes.objects.select_related(
            "unit__shipment__location", "finding", "booked_by"
        )

    def get_kicker(self) -> str:
        return str(self.row.unit)

    def get_lead(self) -> str:
        row = self.row
        finding = f", {row.finding}" if row.finding else ""
        return (
            f"{time_words(row.minutes)}, {mid_sentence(WORK[row.work])}{finding}, by "
            f"{row.booked_by}. It is taken back whole; then book it right."
        )

    def get_back(self) -> str:
        return reverse("minutes", args=[self.row.unit_id])

    def get_crumbs(self) -> Crumbs:
        return _crumbs(self.row.unit)

    def act(self, form: TakeBackForm) -> Answer:
        row = acts.reverse_minutes(
            person=self.person, at=now(), row=self.row, **form.cleaned_data
        )
        return self.done(f"Taken back: {time_words(-row.minutes)}.")

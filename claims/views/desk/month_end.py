"""The month end of one location: what is open before the lock, then the lock."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.desk import month_end as acts
from claims.forms.desk.month_end import CarryForm
from claims.queries.books.month import month_of
from claims.queries.books.rollforward import books_of
from claims.queries.desk.month_end import Check, checks_of
from inventory.access import may, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.models import CarriedCheck, Location, PeriodLock
from inventory.rules.reckoning.months import CalendarMonth, month_named
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.months import AskedMonth, month_asked
from inventory.views.core.places import place_of
from inventory.views.core.row_view import ButtonAct

NOT_SEEN = "You do not see the books of that location. Nothing was changed."
NO_MONTH = "Choose a month that is over. Nothing was locked."
KEEP = "post-deposits"


@require_safe
def month_end(request: HttpRequest) -> HttpResponse:
    """Show the checks of a month; the last full month unless another is asked for."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    place, others = place_of(request, person, "see-deposits", refusal=NOT_SEEN)
    asked = month_asked(request, _newest(place))
    month = asked.month
    books = books_of([place], month.first, month.last)
    checks = checks_of(place, month, books)
    locks = PeriodLock.objects.filter(location=place).select_related("locked_by")
    context = {
        "place": place,
        "others": others,
        "asked": asked,
        "month": month,
        "later": None if month == _newest(place) else month.after,
        "months": [month_of(one) for one in books],
        "checks": checks,
        "open_count": sum(one.is_open for one in checks),
        "lock": locks.order_by("-through", "-pk").first(),
        "locked": locks.filter(through__gte=month.last)
        .order_by("through", "pk")
        .first(),
        "may_lock": may(person, place.pk, KEEP),
        "crumbs": [("Books", reverse("books")), ("Month end", "")],
    }
    return render(request, "claims/desk/month_end.html", context, status=asked.status)


def _newest(place: Location) -> CalendarMonth:
    """Return the last month that is over at this location."""
    return CalendarMonth.of(today_at(place)).before


def _address(place: Location, month: CalendarMonth) -> str:
    return f"{reverse('month_end')}?location={place.pk}&month={month.key}"


class CarryCheck(ActView[Location, CarryForm]):
    """Carry an unfinished check of a month, with the reason."""

    permission = KEEP
    form_class = CarryForm
    title = "Carry an open check"
    lead = (
        "A carried check no longer holds up the lock. It is shown again next month, "
        "with your reason. What opens after you carry it is not carried."
    )
    back_words = "Back to the month end"

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        row, _ = place_of(self.request, self.person, self.permission, refusal=NOT_SEEN)
        return row

    @cached_property
    def asked(self) -> AskedMonth:
        """Return the month that the address asks for."""
        return month_asked(self.request, _newest(self.row))

    @cached_property
    def checks(self) -> list[Check]:
        """Return the checks that may be carried."""
        return [one for one in checks_of(self.row, self.asked.month) if one.may_carry]

    def get_back(self) -> str:
        return _address(self.row, self.asked.month)

    def get_kicker(self) -> str:
        return f"{self.row}, {self.asked.month}"

    def get_crumbs(self) -> Crumbs:
        return [("Books", reverse("books")), ("Month end", self.get_back())]

    def get_refusal(self) -> str:
        if self.asked.problem:
            return self.asked.problem
        locks = PeriodLock.objects.filter(location=self.row)
        if locks.filter(through__gte=self.asked.month.last).exists():
            return f"{self.asked.month} is locked. Nothing of it can be carried."
        if not self.checks:
            return f"Nothing of {self.asked.month} is open that can be carried."
        return ""

    def get_initial(self) -> dict[str, Any]:
        """Return the check that was tapped, with the reason it last was carried for."""
        key = self.request.GET.get("check", "")
        chosen = next((one for one in self.checks if one.key == key), None)
        if chosen is None:
            return super().get_initial()
        last = chosen.before[-1].reason if chosen.before else ""
        return super().get_initial() | {"check": key, "reason": last}

    def get_form_kwargs(self) -> dict[str, Any]:
        offered = [(one.key, f"{one.words}: {one.amount_words}") for one in self.checks]
        return super().get_form_kwargs() | {"checks": offered}

    def act(self, form: CarryForm) -> Answer:
        if self.asked.problem:
            raise RefusedError(f"{self.asked.problem} Nothing was saved.")
        made = acts.carry_check(
            location=self.row,
            month=self.asked.month,
            check_key=form.cleaned_data["check"],
            reason=form.cleaned_data["reason"],
            person=self.person,
            at=now(),
        )
        said = f"{made.label} of {self.asked.month} carried."
        return self.done(said, row=made)


class WithdrawCarried(ButtonAct[CarriedCheck]):
    """Take back what was carried, before the month is locked."""

    permission = KEEP

    def get_queryset(self) -> QuerySet[CarriedCheck]:
        return CarriedCheck.everything.select_related("location")

    def get_back(self) -> str:
        return _address(self.row.location, CalendarMonth(self.row.month))

    def act(self) -> Answer:
        acts.withdraw_carried(carried=self.row, person=self.person, at=now())
        return self.done(f"{self.row.label} is open again.")


class LockMonth(ButtonAct[Location]):
    """Lock the books of a location through the last day of a month."""

    permission = KEEP

    def get_queryset(self) -> QuerySet[Location]:
        return Location.objects.all()

    @cached_property
    def month(self) -> CalendarMonth | None:
        """Return the month that the button names, None for none that is over."""
        key = self.request.POST.get("month", "")
        return month_named(key, newest=_newest(self.row))

    def get_back(self) -> str:
        return _address(self.row, self.month or _newest(self.row))

    def act(self) -> Answer:
        if self.month is None:
            raise RefusedError(NO_MONTH)
        made = acts.lock_month(
            location=self.row, month=self.month, person=self.person, at=now()
        )
        said = f"{self.month} is locked at {self.row}, by {made.locked_by}."
        return self.done(said, row=made)

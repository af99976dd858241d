"""The page Reminders, and the private calendar that it makes."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from claims.actions.desk import reminders as acts
from claims.documents.calendar_feed import ICS, calendar_feed
from claims.forms.desk.reminders import MorningMailForm
from claims.models import CalendarFeed
from claims.queries.desk.reminders import (
    calendar_entries,
    feed_of,
    overdue_wish,
    wish_of,
)
from inventory.access import locations_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.models import Location
from inventory.queries.mail.beats import pulse_of
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_somewhere
from inventory.views.core.row_view import ButtonAct


class Reminders(ActView[None, MorningMailForm]):
    """Ask for a mail each morning; below it the private calendar."""

    form_class = MorningMailForm
    template_name = "claims/desk/reminders.html"
    title = "Reminders"
    lead = (
        "Only what is yours to do, only if you ask for it. On a day with nothing to do "
        "no mail is sent."
    )

    def get_row(self) -> None:
        require_somewhere(self.person, "see")

    def get_back(self) -> str:
        return reverse("home")

    def get_crumbs(self) -> Crumbs:
        return []

    @property
    def places(self) -> list[Location]:
        """Return the docks at which the person works."""
        return list(locations_of(self.person))

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"places": self.places}

    def get_initial(self) -> dict[str, Any]:
        wish = wish_of(self.person)
        known = {
            "address": wish.address if wish else self.person.email,
            "hour": str(wish.hour) if wish else "6",
            "location": str(wish.location_id if wish else self.places[0].pk),
        }
        return super().get_initial() | known

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(
            wish=wish_of(self.person),
            feed=feed_of(self.person),
            pulse=pulse_of("morning", now()),
            overdue=overdue_wish(self.person, now()),
            **more,
        )

    def act(self, form: MorningMailForm) -> Answer:
        place = next(
            one for one in self.places if str(one.pk) == form.cleaned_data["location"]
        )
        acts.ask_morning_mail(
            person=self.person,
            location=place,
            hour=form.hour_of_day(),
            address=form.cleaned_data["address"],
            at=now(),
        )
        return self.done("You get a mail each morning that has something for you.")


class _ReminderButton(ButtonAct[None]):
    """A button of the page Reminders."""

    def get_row(self) -> None:
        require_somewhere(self.person, "see")

    def get_back(self) -> str:
        return reverse("reminders")


class MakeCalendar(_ReminderButton):
    """Make a private calendar address, and show it once."""

    def act(self) -> Answer:
        token = acts.make_calendar(person=self.person, at=now())
        address = self.request.build_absolute_uri(reverse("calendar", args=[token]))
        messages.info(
            self.request,
            f"Your calendar's address, shown this once: {address}",
        )
        return self.done("Whoever has the address sees your deadlines. Keep it to you.")


class EndCalendar(_ReminderButton):
    """End the private calendar."""

    def act(self) -> Answer:
        acts.end_calendar(person=self.person, at=now())
        return self.done("The calendar's address is dead.")


class EndMorningMail(_ReminderButton):
    """Stop the morning mail."""

    def act(self) -> Answer:
        acts.end_morning_mail(person=self.person, at=now())
        return self.done("No more morning mails.")


@login_not_required
@require_safe
@never_cache
def calendar(request: HttpRequest, token: str) -> HttpResponse:
    """Give the calendar of whoever made this address; 404 for any other."""
    rows = CalendarFeed.objects.filter(
        token_hash=acts.hash_of(token), ended_at=None, person__is_active=True
    )
    feed = rows.select_related("person").first()
    if feed is None:
        raise Http404
    person = feed.person
    data = calendar_feed(
        calendar_entries(person, today_somewhere(person)),
        name="Deadlines",
        host=settings.CALENDAR_HOST,
    )
    answer = HttpResponse(data, content_type=ICS)
    answer["Content-Disposition"] = 'inline; filename="deadlines.ics"'
    return answer

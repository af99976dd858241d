"""The technician's desk, and opening a crate."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.bench import opening
from claims.actions.bench.inspections import Subject
from claims.forms.bench.inspections import OpenCrateForm
from claims.queries.bench.desk import LONGEST, bench_desk
from claims.queries.bench.part_tags import tag_list
from claims.queries.bench.unopened import last_day_to_open
from claims.queries.core.labels import duty_label
from claims.rules.bench.cautions import DEFERS, KEEP_BEFORE_OPENING, cautions_for
from inventory.access import locations_of, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.errands import errands_of
from inventory.models import Crate
from inventory.queries.crates.yard import (
    crates_in,
    held_rows,
    keys_in_order,
    page_rows,
)
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.phone_clock import tapped_at


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """Show closed crates and their last days first, then what is to inspect."""
    person = person_of(request)
    require_somewhere(person, "see")
    places = list(locations_of(person))
    todays = {place.pk: today_at(place) for place in places}
    crates = crates_in(person, "to-do")
    keys = keys_in_order(crates, todays)
    held = held_rows(person, todays)
    context = {
        "desk": bench_desk(person, max(todays.values())),
        "errands": errands_of(person, max(todays.values())),
        "crates": page_rows(crates, keys[:LONGEST], todays),
        "crate_count": len(keys),
        "held": held[:LONGEST],
        "held_count": len(held),
        "may_keep": locations_of(person, "keep-crates").exists(),
        "tags": tag_list(person),
        "longest": LONGEST,
        "may_inspect": locations_of(person, "inspect").exists(),
        "may_release": locations_of(person, "release-hold").exists(),
        "may_keep_lists": locations_of(person, "decide").exists(),
        "may_see_money": locations_of(person, "see-claims").exists(),
        "many_places": len(places) > 1,
    }
    return render(request, "claims/bench/bench.html", context)


class OpenCrate(ActView[Crate, OpenCrateForm]):
    """Show what to save before opening; record that the crate is opened."""

    permission = "inspect"
    form_class = OpenCrateForm
    template_name = "claims/bench/open_crate.html"
    back_words = "Back to the bench without opening"
    photo_kind = "opening"

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.objects.select_related(
            "shipment__location", "shipment__supplier", "delivery"
        ).prefetch_related("units")

    def get_photo_about(self) -> About:
        return Subject(self.row.shipment, crate=self.row).about

    def get_title(self) -> str:
        return f"Open {self.row if self.row.mark else str(self.row).lower()}"

    def get_kicker(self) -> str:
        return f"PRO {self.row.shipment.pro_number}"

    def get_refusal(self) -> str:
        return opening.why_not_open(self.row)

    def get_back(self) -> str:
        return reverse("bench")

    def get_crumbs(self) -> Crumbs:
        return [("Bench", self.get_back())]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        last = last_day_to_open(self.row)
        return super().get_context_data(
            crate=self.row,
            units=list(self.row.units.all()),
            last_day=last[0] if last else None,
            set_by=duty_label(last[1]) if last else "",
            keep=KEEP_BEFORE_OPENING,
            cautions=cautions_for("uncrating"),
            defers=DEFERS,
            **more,
        )

    def act(self, form: OpenCrateForm) -> Answer:
        at = now()
        tapped = tapped_at(self.request, at)
        opening.open_crate(person=self.person, at=at, crate=self.row, tapped=tapped)
        photos = len(form.cleaned_data["photos"])
        saved = f" {photos} photo{'s' if photos > 1 else ''} saved." if photos else ""
        return self.done(f"{self.row} opened.{saved}", page=self._next_page())

    def _next_page(self) -> str:
        """Return the inspection of the one machine inside; otherwise the bench."""
        units = list(self.row.units.all())
        if len(units) == 1:
            return reverse("inspect_unit", args=[units[0].pk, "uncrating"])
        return reverse("bench")

"""The technician's desk, and opening a crate."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from claims.actions.bench.inspections import Subject
from claims.actions.bench.opening import open_crate as act_open_crate
from claims.actions.bench.opening import why_not_open
from claims.forms.bench.inspections import OpenCrateForm
from claims.queries.bench.desk import LONGEST, bench_desk
from claims.queries.bench.unopened import last_day_to_open
from claims.queries.core.labels import duty_label
from claims.rules.bench.cautions import DEFERS, KEEP_BEFORE_OPENING, cautions_for
from claims.views.bench.photos import keep_for, posted
from inventory.access import locations_of, obtain, person_of, require_somewhere
from inventory.models import Crate
from inventory.queries.crates.yard import crates_in, held_rows, lapsing_first, rows_of
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """Open on closed crates and their last days, then what waits for a look."""
    person = person_of(request)
    require_somewhere(person, "see")
    places = list(locations_of(person))
    todays = {place.pk: today_at(place) for place in places}
    crates = lapsing_first(rows_of(crates_in(person, "to-do"), todays))
    held = held_rows(person, todays)
    context = {
        "desk": bench_desk(person, max(todays.values())),
        "crates": crates[:LONGEST],
        "crate_count": len(crates),
        "held": held[:LONGEST],
        "held_count": len(held),
        "may_keep": locations_of(person, "keep-crates").exists(),
        "longest": LONGEST,
        "may_inspect": locations_of(person, "inspect").exists(),
        "may_release": locations_of(person, "release-hold").exists(),
        "may_see_money": locations_of(person, "see-claims").exists(),
        "many_places": len(places) > 1,
    }
    return render(request, "claims/bench/bench.html", context)


@require_http_methods(["GET", "POST"])
def open_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what to keep before the first strap is cut; record that it is opened."""
    person = person_of(request)
    rows = Crate.objects.select_related(
        "shipment__location", "shipment__supplier", "delivery"
    ).prefetch_related("units")
    crate = obtain(rows, person, pk, "inspect")
    last = last_day_to_open(crate)
    form = OpenCrateForm(*posted(request))
    page = ActPage(
        title=f"Open {str(crate).lower() if not crate.mark else crate}",
        kicker=f"PRO {crate.shipment.pro_number}",
        back=reverse("bench"),
        back_words="Back to the bench without opening",
        template="claims/bench/open_crate.html",
        crumbs=[("Bench", reverse("bench")), (f"Open {crate}", "")],
        more={
            "crate": crate,
            "units": list(crate.units.all()),
            "refusal": why_not_open(crate),
            "last_day": last[0] if last else None,
            "set_by": duty_label(last[1]) if last else "",
            "keep": KEEP_BEFORE_OPENING,
            "cautions": cautions_for("uncrating"),
            "defers": DEFERS,
        },
    )

    def act() -> HttpResponse:
        subject = Subject(crate.shipment, crate=crate)
        photos = keep_for(
            form,
            form.cleaned_data["photos"],
            person=person,
            kind="opening",
            subject=subject,
        )
        act_open_crate(person=person, at=now(), crate=crate)
        kept = f" {len(photos)} photos kept." if photos else ""
        messages.success(request, f"{crate} is recorded as opened.{kept}")
        return redirect(_after_opening(crate))

    return answer_act(request, form, page, act)


def _after_opening(crate: Crate) -> str:
    """Go on to the look at the one machine inside; otherwise back to the desk."""
    units = list(crate.units.all())
    if len(units) == 1:
        return reverse("inspect_unit", args=[units[0].pk, "uncrating"])
    return reverse("bench")

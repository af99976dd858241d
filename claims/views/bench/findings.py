"""One thing wrong: its page, telling it, and changing what was told."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from claims.access import may, obtain, person_of
from claims.actions.bench import findings as acts
from claims.actions.bench.inspections import Subject, why_not_inspect
from claims.forms.bench.findings import (
    PART_ROWS,
    EditFindingForm,
    FindingForm,
    initial_of,
)
from claims.models import Finding
from claims.queries.bench.findings import finding_page, findings_joined
from claims.queries.bench.looks import last_look
from claims.rules.bench.causes import CAUSES, needs_answer
from claims.rules.bench.holds import STOPPED
from claims.rules.bench.safety_parts import RULE
from claims.rules.core.vocabulary import ROUTES, STAGES
from claims.views.bench.kept_photos import take_photos
from claims.views.bench.photos import keep_for, photo_cards, posted
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Crate, Evidence, Shipment, Unit, User
from inventory.views.core.clock import now
from inventory.views.core.photos import say_remarks
from inventory.views.core.refusals import status_of

BENCH_STAGES = ("uncrating", "set-up", "count")


@require_safe
def finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a finding: facts, opinion, who files what by when, and what it lacks."""
    person = person_of(request)
    row = obtain(findings_joined(), person, pk, "see")
    page = finding_page(row)
    here = row.shipment.location_id
    context = {
        "page": page,
        "finding": row,
        "cause": CAUSES[row.cause],
        "handling_waits": needs_answer(
            cause=row.cause, handling_answer=row.handling_answer
        ),
        "route_words": ROUTES.get(row.route, ""),
        "default_words": ROUTES.get(page.routing.first, "nothing is claimed"),
        "photos": photo_cards(page.photos),
        "faces": [face for face in row.faces.split(",") if face],
        "stopped": STOPPED,
        "safety_rule": RULE,
        "may_inspect": may(person, here, "inspect"),
        "may_price": may(person, here, "price"),
        "may_decide": may(person, here, "decide"),
        "may_release": may(person, here, "release-hold"),
        "may_see_money": may(person, here, "see-claims"),
        "crumbs": [
            ("Freight bill", reverse("shipment", args=[row.shipment_id])),
            (f"Finding {row.number}", ""),
        ],
    }
    return render(request, "claims/bench/finding.html", context)


@dataclass(frozen=True)
class _Asked:
    """What the new finding is about, as the address says it."""

    subject: Subject
    stage: str


@require_http_methods(["GET", "POST"])
def record_finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Tell one thing wrong on a machine, a crate, or the count of a freight bill."""
    person = person_of(request)
    rows = Shipment.objects.select_related("location", "carrier")
    shipment = obtain(rows, person, pk, "inspect")
    asked = _asked(request, person, shipment)
    if asked is None:
        return _choose(request, shipment)
    subject = asked.subject
    standing = last_look(
        shipment=shipment, crate=subject.box, unit=subject.unit, stage=asked.stage
    )
    options: dict[str, Any] = {
        "kept_photos": _photos_of(subject),
        "asks_condition": standing is None and subject.box is not None,
        "has_crate": subject.box is not None,
    }
    form = FindingForm(*posted(request), **options)
    if request.method == "POST":
        form = take_photos(
            form,
            lambda uploads: keep_for(
                form, uploads, person=person, kind="damage", subject=subject
            ),
            lambda data: FindingForm(data, **options),
        )
        say_remarks(request, form)
        answer = _act(form, lambda: _record(request, person, asked, form))
        if answer is not None:
            return answer
    context = {
        "form": form,
        "title": f"Record a finding: {_name(subject)}",
        "kicker": f"PRO {shipment.pro_number}, {STAGES[asked.stage].lower()}",
        "refusal": "" if standing else why_not_inspect(subject, asked.stage),
        "back": reverse("shipment", args=[shipment.pk]),
        "crumbs": [
            ("Bench", reverse("bench")),
            ("Record a finding", ""),
        ],
    }
    return render(
        request, "claims/bench/record_finding.html", context, status=status_of(form)
    )


def _record(
    request: HttpRequest, person: User, asked: _Asked, form: FindingForm
) -> HttpResponse:
    row = acts.record_finding(
        person=person,
        at=now(),
        subject=asked.subject,
        stage=asked.stage,
        words=form.told(),
        crate_condition=form.cleaned_data.get("crate_condition", ""),
        photos=list(form.cleaned_data["kept"]),
    )
    messages.success(request, f"Finding {row.number} is recorded.")
    return redirect("finding", row.pk)


@require_http_methods(["GET", "POST"])
def edit_finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what was told of a finding, or add photos to it."""
    person = person_of(request)
    row = obtain(findings_joined(), person, pk, "inspect")
    subject = Subject(row.shipment, crate=row.crate, unit=row.unit)
    options: dict[str, Any] = {
        "kept_photos": _photos_of(subject).exclude(finding_links__finding=row),
        "asks_condition": False,
        "has_crate": row.crate is not None,
        "initial": initial_of(row),
        "part_rows": max(PART_ROWS, len(row.parts.all()) + 1),
    }
    form = EditFindingForm(*posted(request), **options)
    if request.method == "POST":
        form = take_photos(
            form,
            lambda uploads: keep_for(
                form, uploads, person=person, kind="damage", subject=subject
            ),
            lambda data: EditFindingForm(data, **options),
        )
        say_remarks(request, form)
        answer = _act(form, lambda: _change(request, person, row, form), row)
        if answer is not None:
            return answer
    context = {
        "form": form,
        "title": f"Change finding {row.number}",
        "kicker": f"PRO {row.shipment.pro_number}",
        "refusal": "",
        "back": reverse("finding", args=[row.pk]),
        "crumbs": [
            (f"Finding {row.number}", reverse("finding", args=[row.pk])),
            ("Change", ""),
        ],
    }
    return render(
        request, "claims/bench/record_finding.html", context, status=status_of(form)
    )


def _change(
    request: HttpRequest, person: User, row: Finding, form: FindingForm
) -> HttpResponse:
    acts.change_finding(
        person=person,
        at=now(),
        finding=row,
        version=form.cleaned_data["version"],
        words=form.told(),
        photos=list(form.cleaned_data["kept"]),
    )
    messages.success(request, f"Finding {row.number} is changed.")
    return redirect("finding", row.pk)


def _act(
    form: FindingForm, act: Callable[[], HttpResponse], row: Finding | None = None
) -> HttpResponse | None:
    """Run the act on a valid form; put what it refuses on the form."""
    if not form.is_valid():
        return None
    try:
        return act()
    except StaleRowError as error:
        if row is not None:
            _take_new_version(form, row)
        form.add_error(None, str(error))
    except RefusedError as error:
        form.add_error(None, str(error))
    return None


def _take_new_version(form: FindingForm, row: Finding) -> None:
    """Let a second save count against the finding as it stands now."""
    row.refresh_from_db(fields=["version"])
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    data["version"] = str(row.version)
    form.data = data


def _name(subject: Subject) -> str:
    return str(subject.unit or subject.crate or "the count")


def _asked(request: HttpRequest, person: User, shipment: Shipment) -> _Asked | None:
    """Return what the address asks about, or None where it does not say yet."""
    crates = Crate.objects.select_related("shipment", "delivery").filter(
        shipment=shipment
    )
    units = Unit.objects.select_related("shipment", "crate__delivery").filter(
        shipment=shipment
    )
    crate_key, unit_key = request.GET.get("crate"), request.GET.get("unit")
    crate = obtain(crates, person, crate_key, "inspect") if crate_key else None
    unit = obtain(units, person, unit_key, "inspect") if unit_key else None
    stage = request.GET.get("stage", "")
    if stage and stage not in BENCH_STAGES:
        raise Http404
    if unit is not None:
        return _Asked(Subject(shipment, unit=unit), stage or "uncrating")
    if crate is not None:
        return _Asked(Subject(shipment, crate=crate), stage or "uncrating")
    return _Asked(Subject(shipment), "count") if stage == "count" else None


def _choose(request: HttpRequest, shipment: Shipment) -> HttpResponse:
    """Ask which machine or crate it is about."""
    units = Unit.objects.filter(shipment=shipment).select_related("crate")
    crates = Crate.objects.filter(shipment=shipment, units=None)
    context = {
        "shipment": shipment,
        "units": units.order_by("crate__number", "pk"),
        "crates": crates.order_by("number"),
        "crumbs": [
            ("Freight bill", reverse("shipment", args=[shipment.pk])),
            ("Record a finding", ""),
        ],
    }
    return render(request, "claims/bench/choose_finding.html", context)


def _photos_of(subject: Subject) -> QuerySet[Evidence]:
    """Return the pictures kept of this machine, crate or freight bill."""
    about = Q()
    if subject.unit is not None:
        about |= Q(unit=subject.unit)
    if subject.box is not None:
        about |= Q(crate=subject.box, unit=None)
    if subject.box is None and subject.unit is None:
        about |= Q(crate=None, unit=None)
    return (
        Evidence.objects.filter(about, shipment=subject.shipment)
        .filter(original__media_type__startswith="image/")
        .select_related("location")
        .order_by("-received_at", "pk")
    )

"""Findings: the page of one, recording one, and changing one."""

from typing import Any, TypeVar

from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.bench import findings as acts
from claims.actions.bench.inspections import Subject, why_not_inspect
from claims.forms.bench.findings import (
    EditFindingForm,
    FindingForm,
    initial_of,
)
from claims.models import Finding, Inspection
from claims.queries.bench.findings import finding_page, findings_joined
from claims.queries.bench.looks import last_look
from claims.queries.bench.machine_plans import drawn_plan, kind_of
from claims.queries.bench.part_tags import untagged_parts
from claims.queries.desk.stories import photo_card
from claims.rules.bench.causes import CAUSES, needs_answer
from claims.rules.bench.holds import STOPPED
from claims.rules.bench.places import place_words
from claims.rules.bench.safety_parts import RULE
from claims.rules.core.vocabulary import ROUTES, STAGES
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.models import Crate, Evidence, Shipment, Unit, User
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now
from inventory.views.core.phone_clock import tapped_at

Row = TypeVar("Row", Shipment, Finding)
Form = TypeVar("Form", bound=FindingForm)

BENCH_STAGES = ("uncrating", "set-up", "count")


@require_safe
def finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a finding: facts, opinion, who files what by when, what is missing."""
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
        "default_words": ROUTES.get(page.routing.first, "Nobody"),
        "photos": [photo_card(one) for one in page.photos],
        "faces": [face for face in row.faces.split(",") if face],
        "tags": list(row.part_tags.order_by("pk")),
        "untagged": untagged_parts(row),
        "plan": drawn_plan(kind_of(row.unit), row.places)
        if row.unit and row.places
        else None,
        "place_words": place_words(row.places),
        "stopped": STOPPED,
        "safety_rule": RULE,
        "may_inspect": may(person, here, "inspect"),
        "may_state": row.recorded_by_id == person.pk
        and may(person, here, "state-findings"),
        "may_price": may(person, here, "price"),
        "may_decide": may(person, here, "decide"),
        "may_release": may(person, here, "release-hold"),
        "may_see_money": may(person, here, "see-claims"),
        "crumbs": [
            ("Bench", reverse("bench")),
            ("Freight bill", reverse("shipment", args=[row.shipment_id])),
            (f"Finding {row.number}", ""),
        ],
    }
    return render(request, "claims/bench/finding.html", context)


class _FindingPage(ActView[Row, Form]):
    """A form for one finding, with photos of what it is about."""

    permission = "inspect"
    template_name = "claims/bench/act.html"
    photo_kind = "damage"

    subject: Subject
    """What the finding is about, as the address says it."""

    def get_photo_about(self) -> About:
        return self.subject.about

    def get_photo_rows(self) -> QuerySet[Evidence]:
        return _photos_of(self.subject, self.person)


class RecordFinding(_FindingPage[Shipment, FindingForm]):
    """Record a finding on a machine, a crate, or the piece count of a freight bill."""

    form_class = FindingForm
    stage: str
    """The stage at which it was seen; empty while the address names no subject."""

    def get_queryset(self) -> QuerySet[Shipment]:
        return Shipment.objects.select_related("location", "carrier")

    def get_row(self) -> Shipment:
        shipment = super().get_row()
        self.subject, self.stage = _asked(self.request, self.person, shipment)
        return shipment

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        return super().get(request) if self.stage else _choose(request, self.row)

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        return super().post(request) if self.stage else _choose(request, self.row)

    @cached_property
    def earlier(self) -> Inspection | None:
        """Return the last inspection of this stage, which the finding joins."""
        return last_look(
            shipment=self.row,
            crate=self.subject.box,
            unit=self.subject.unit,
            stage=self.stage,
        )

    def get_title(self) -> str:
        return "Record a finding"

    def get_kicker(self) -> str:
        return f"{_name(self.subject)}, {STAGES[self.stage].lower()}"

    def get_refusal(self) -> str:
        return "" if self.earlier else why_not_inspect(self.subject, self.stage)

    def get_back(self) -> str:
        unit = self.subject.unit
        if unit is not None:
            return reverse("unit", args=[unit.pk])
        return reverse("shipment", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [("Bench", reverse("bench"))]

    def get_form_kwargs(self) -> dict[str, Any]:
        has_crate = self.subject.box is not None
        unit = self.subject.unit
        return super().get_form_kwargs() | {
            "asks_condition": self.earlier is None and has_crate,
            "has_sides": has_crate and unit is None,
            "plan": kind_of(unit) if unit else "",
        }

    def act(self, form: FindingForm) -> Answer:
        at = now()
        row = acts.record_finding(
            person=self.person,
            at=at,
            tapped=tapped_at(self.request, at),
            subject=self.subject,
            stage=self.stage,
            words=form.finding_words(),
            crate_condition=form.cleaned_data.get("crate_condition", ""),
            photos=form.cleaned_data["photos"],
        )
        page = reverse("finding", args=[row.pk])
        return self.done(f"Finding {row.number} recorded.", row=row, page=page)


class EditFinding(_FindingPage[Finding, EditFindingForm]):
    """Change a finding, or add photos to it."""

    form_class = EditFindingForm

    def get_queryset(self) -> QuerySet[Finding]:
        return findings_joined()

    def get_row(self) -> Finding:
        row = super().get_row()
        self.subject = Subject(row.shipment, crate=row.crate, unit=row.unit)
        return row

    def get_photo_rows(self) -> QuerySet[Evidence]:
        return super().get_photo_rows().exclude(finding_links__finding=self.row)

    def get_title(self) -> str:
        return f"Change finding {self.row.number}"

    def get_kicker(self) -> str:
        return f"PRO {self.row.shipment.pro_number}"

    def get_back(self) -> str:
        return reverse("finding", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [(f"Finding {self.row.number}", self.get_back())]

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | initial_of(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        unit = self.row.unit
        return super().get_form_kwargs() | {
            "has_sides": bool(self.row.faces) or (self.row.crate and not unit),
            "plan": kind_of(unit) if unit else "",
        }

    def act(self, form: EditFindingForm) -> Answer:
        acts.change_finding(
            person=self.person,
            at=now(),
            finding=self.row,
            version=form.cleaned_data["version"],
            words=form.finding_words(),
            photos=form.cleaned_data["photos"],
        )
        return self.done(f"Finding {self.row.number} changed.")


def _name(subject: Subject) -> str:
    return str(subject.unit or subject.crate or "piece count")


def _asked(
    request: HttpRequest, person: User, shipment: Shipment
) -> tuple[Subject, str]:
    """Return what the address asks about and the stage, or "" where it does not say."""
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
        return Subject(shipment, unit=unit), stage or "uncrating"
    if crate is not None:
        return Subject(shipment, crate=crate), stage or "uncrating"
    return Subject(shipment), "count" if stage == "count" else ""


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


def _photos_of(subject: Subject, person: User) -> QuerySet[Evidence]:
    """Return the photos saved for this machine, crate or freight bill.

    A document counts too where this person sent it as a photo of damage.
    """
    about = Q()
    if subject.unit is not None:
        about |= Q(unit=subject.unit)
    if subject.box is not None:
        about |= Q(crate=subject.box, unit=None)
    if subject.box is None and subject.unit is None:
        about |= Q(crate=None, unit=None)
    picture = Q(original__media_type__startswith="image/")
    own = Q(recorded_by=person, kind="damage")
    return (
        Evidence.objects.filter(about, picture | own, shipment=subject.shipment)
        .select_related("original", "location")
        .order_by("-received_at", "pk")
    )

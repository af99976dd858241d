"""Inspecting a machine, and releasing it from a setup hold."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.bench import holds
from claims.actions.bench.inspections import Subject, record_inspection, why_not_inspect
from claims.forms.bench.inspections import InspectForm, ReleaseHoldForm
from claims.queries.bench.looks import condition_of_crate, last_look
from claims.rules.bench.cautions import DEFERS, cautions_for
from claims.rules.bench.checklists import LOOKS
from claims.rules.bench.holds import STOPPED, WAIVER_KIND
from claims.rules.core.vocabulary import STAGES
from claims.views.core.release_act import ReleaseAct
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.models import Hold, Unit
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now
from inventory.views.core.phone_clock import tapped_at

RELEASE_KINDS = {
    "inspected": "inspection-report",
    "waived": WAIVER_KIND,
    "manager": "damage",
}
"""The kind of the photos sent with a release, by how the hold is released."""


class InspectUnit(ActView[Unit, InspectForm]):
    """Inspect a machine by the list of one stage."""

    permission = "inspect"
    form_class = InspectForm
    template_name = "claims/bench/inspect_unit.html"
    back_words = "Back to the machine without saving"

    stage: str
    """The stage of the address; it has a list of points."""

    def get_queryset(self) -> QuerySet[Unit]:
        return Unit.objects.select_related("shipment__location", "crate__delivery")

    def get_row(self) -> Unit:
        self.stage = self.kwargs["stage"]
        if self.stage not in LOOKS:
            raise Http404
        return super().get_row()

    @cached_property
    def subject(self) -> Subject:
        """Return the machine as a thing to inspect."""
        return Subject(self.row.shipment, unit=self.row)

    def get_title(self) -> str:
        return STAGES[self.stage]

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        return why_not_inspect(self.subject, self.stage)

    def get_back(self) -> str:
        return reverse("unit", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [("Bench", reverse("bench")), (str(self.row), self.get_back())]

    def get_initial(self) -> dict[str, Any]:
        crate = self.row.crate
        condition = condition_of_crate(crate) if crate else ""
        return super().get_initial() | {"crate_condition": condition}

    def get_form_kwargs(self) -> dict[str, Any]:
        has_crate = self.row.crate is not None
        return super().get_form_kwargs() | {
            "stage": self.stage,
            "has_crate": has_crate,
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        earlier = last_look(
            shipment=self.row.shipment, crate=None, unit=self.row, stage=self.stage
        )
        return super().get_context_data(
            earlier=earlier, cautions=cautions_for(self.stage), defers=DEFERS, **more
        )

    def act(self, form: InspectForm) -> Answer:
        at = now()
        inspection = record_inspection(
            person=self.person,
            at=at,
            tapped=tapped_at(self.request, at),
            subject=self.subject,
            stage=self.stage,
            crate_condition=form.cleaned_data.get("crate_condition", ""),
            looks=form.looks_taken(),
            note=form.cleaned_data["note"],
        )
        wrong = form.not_right()
        if not wrong:
            return self.done(f"Inspection saved: {self.row}.", row=inspection)
        record = reverse("record_finding", args=[self.row.shipment_id])
        return self.done(
            f"Inspection saved: {self.row}. Not right: {', '.join(wrong)}. Record a "
            "finding for each.",
            row=inspection,
            page=f"{record}?unit={self.row.pk}&stage={self.stage}",
        )


class ReleaseHold(ReleaseAct[Hold, ReleaseHoldForm]):
    """Release a setup hold: inspected, waived in writing, or by the manager."""

    permission = "release-hold"
    form_class = ReleaseHoldForm
    kinds = RELEASE_KINDS
    back_words = "Back to the machine without releasing it"

    def get_queryset(self) -> QuerySet[Hold]:
        return Hold.objects.select_related(
            "unit__shipment__location", "unit__crate__delivery", "placed_by"
        )

    def get_photo_about(self) -> About:
        unit = self.row.unit
        return Subject(unit.shipment, unit=unit).about

    def get_title(self) -> str:
        return "Release the hold"

    def get_kicker(self) -> str:
        return str(self.row.unit)

    def get_lead(self) -> str:
        return f"{self.row.reason} {STOPPED} while it is on hold."

    def get_back(self) -> str:
        return reverse("unit", args=[self.row.unit_id])

    def get_crumbs(self) -> Crumbs:
        return [("Bench", reverse("bench")), (str(self.row.unit), self.get_back())]

    def act(self, form: ReleaseHoldForm) -> Answer:
        holds.release_hold(
            hold=self.row,
            how=form.cleaned_data["how"],
            reason=form.cleaned_data["reason"],
            person=self.person,
            at=now(),
            evidence=self.proof(form),
        )
        return self.done(f"Hold released: {self.row.unit}. Setup can continue.")

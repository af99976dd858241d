"""A packaging hold: its days, its two letters, and its release."""

from datetime import date
from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.forms.crates.packaging import (
    ClockStoppedForm,
    DayForm,
    ReleasePackagingForm,
)
from claims.queries.crates.packaging import (
    KINDS,
    hold_page,
    holds_joined,
    waiting_letter,
)
from claims.views.core.release_act import ReleaseAct
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.crates import packaging as acts
from inventory.actions.evidence.photo_facts import About
from inventory.evidence.seal.sent_documents import last_sent
from inventory.forms.core.base import HouseForm
from inventory.models import PackagingHold
from inventory.rules.crates.packaging import PROOF_KINDS
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Form = TypeVar("Form", bound=HouseForm)
DatedForm = TypeVar("DatedForm", bound=DayForm)


@require_safe
def packaging_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the last day, the loss per day, the letters and the photos still needed."""
    person = person_of(request)
    hold = obtain(holds_joined(), person, pk, "see")
    crate = hold.crate
    here = crate.shipment.location_id
    context = {
        "hold": hold,
        "crate": crate,
        "page": hold_page(hold, today_at(crate.shipment.location)),
        "may_release": may(person, here, "release-packaging"),
        "sent": {who: last_sent(hold, kind) for who, kind in KINDS.items()},
        "waiting": {who: waiting_letter(hold, who) for who in KINDS},
        "may_add": may(person, here, "add-evidence"),
        "may_see_money": may(person, here, "see-deposits"),
        "here": reverse("packaging_hold", args=[hold.pk]),
        "crumbs": [
            ("Crates", reverse("crates")),
            (str(crate), reverse("crate", args=[crate.pk])),
            ("Packaging hold", ""),
        ],
    }
    return render(request, "claims/crates/packaging_hold.html", context)


class HoldAct(ActView[PackagingHold, Form]):
    """An act on the packaging hold of the address."""

    permission = "release-packaging"
    back_words = "Back to the hold without saving"

    def get_queryset(self) -> QuerySet[PackagingHold]:
        return holds_joined()

    @property
    def today(self) -> date:
        """Return today at the crate's location."""
        return today_at(self.row.crate.shipment.location)

    def get_kicker(self) -> str:
        return str(self.row.crate)

    def get_back(self) -> str:
        return reverse("packaging_hold", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        crate = self.row.crate
        return [
            ("Crates", reverse("crates")),
            (str(crate), reverse("crate", args=[crate.pk])),
            ("Packaging hold", self.get_back()),
        ]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(hold=self.row, crate=self.row.crate, **more)


class DatedHoldAct(HoldAct[DatedForm]):
    """An act that happened on a day."""

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": self.today}


class StopClock(DatedHoldAct[ClockStoppedForm]):
    """Record that the supplier does not count the held days."""

    form_class = ClockStoppedForm
    title = "Supplier stopped its clock"
    lead = (
        "Only where the supplier agreed in writing. From that day the days on hold do "
        "not count against the deposit. Add the supplier's answer as a photo or PDF."
    )

    def act(self, form: ClockStoppedForm) -> Answer:
        acts.stop_supplier_clock(
            person=self.person, at=now(), hold=self.row, **form.cleaned_data
        )
        return self.done("Supplier's clock recorded as stopped.")


class ReleasePackaging(
    HoldAct[ReleasePackagingForm], ReleaseAct[PackagingHold, ReleasePackagingForm]
):
    """Release the packaging, for one of three reasons."""

    form_class = ReleasePackagingForm
    template_name = "claims/crates/release_packaging.html"
    title = "Release the packaging"
    kinds = PROOF_KINDS

    def get_photo_about(self) -> About:
        crate = self.row.crate
        return About(delivery=crate.delivery, shipment=crate.shipment, crate=crate)

    def get_lead(self) -> str:
        return self.row.reason

    def get_context_data(self, **more: object) -> dict[str, Any]:
        checks = hold_page(self.row, self.today).photos
        return super().get_context_data(checks=checks, here=self.get_back(), **more)

    def act(self, form: ReleasePackagingForm) -> Answer:
        crate = self.row.crate
        acts.release_packaging(
            person=self.person,
            at=now(),
            hold=self.row,
            version=form.cleaned_data["version"],
            how=form.cleaned_data["how"],
            reason=form.cleaned_data["reason"],
            panel_kept=form.cleaned_data["panel_kept"],
            evidence=self.proof(form),
        )
        page = reverse("crate", args=[crate.pk])
        return self.done(f"{crate} released. You can take it apart.", page=page)

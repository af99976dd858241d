"""A truck at the dock: inspect its crates, then write the exceptions."""

from typing import Any

from django.db.models import Prefetch, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.receiving.looks import Look, clear_rest, look_at_crate
from claims.forms.receiving.tailgate import ClearRestForm, LookForm
from claims.models import Finding
from claims.queries.receiving.receipts import bills_at_tailgate
from claims.rules.receiving.advice import advise
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.photo_facts import About
from inventory.models import Crate, Delivery, Evidence
from inventory.queries.returns.listing import empties_for
from inventory.rules.core.vocabulary import LOOKS
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, truck_name
from inventory.views.core.row_view import ButtonAct

PHOTO_KINDS = ("look", "damage")


def trail(delivery: Delivery) -> list[tuple[str, str]]:
    """Return the pages above a page of this truck."""
    tailgate_url = reverse("tailgate", args=[delivery.pk])
    return [("Dock", reverse("dock")), (truck_name(delivery), tailgate_url)]


def _deliveries() -> QuerySet[Delivery]:
    return Delivery.objects.select_related("location", "carrier")


@require_safe
def tailgate(request: HttpRequest, pk: int) -> HttpResponse:
    """Show every crate of the truck with its inspection, and what to do next."""
    person = person_of(request)
    row = obtain(_deliveries(), person, pk, "see")
    bills = bills_at_tailgate(row)
    context = {
        "delivery": row,
        "bills": bills,
        "unseen": sum(bill.unseen for bill in bills),
        "crate_count": sum(len(bill.crates) for bill in bills),
        "name": truck_name(row),
        "may_look": may(person, row.location_id, "look"),
        "may_log": may(person, row.location_id, "log-delivery"),
        "may_sign": may(person, row.location_id, "sign-receipt"),
        "empties": empties_for(row),
        "takes_empties": row.carrier.mode == "supplier-truck",
        "may_ship": may(person, row.location_id, "ship-crates"),
        "crumbs": [("Dock", reverse("dock")), (truck_name(row), "")],
    }
    return render(request, "claims/receiving/tailgate.html", context)


class InspectCrate(ActView[Crate, LookForm]):
    """Record one crate's inspection; an exception says where, what and how severe."""

    permission = "look"
    form_class = LookForm
    template_name = "claims/receiving/look.html"
    back_words = "Back to the truck"

    def get_queryset(self) -> QuerySet[Crate]:
        found = Finding.objects.filter(inspection__stage="tailgate").order_by("number")
        return Crate.objects.select_related(
            "shipment__supplier",
            "shipment__location",
            "delivery__carrier",
            "delivery__location",
        ).prefetch_related(Prefetch("findings", queryset=found))

    def get_row(self) -> Crate:
        is_clear = self.request.POST.get("look") == "clear"
        self.photo_kind = "look" if is_clear else "damage"
        return super().get_row()

    @cached_property
    def written(self) -> list[Finding]:
        """Return the exceptions written on this crate that still count."""
        return [one for one in self.row.findings.all() if one.route != "nowhere"]

    def get_title(self) -> str:
        row = self.row
        return f"Crate {row.number}" + (f" · {row.mark}" if row.mark else "")

    def get_kicker(self) -> str:
        return str(self.row.shipment)

    def get_back(self) -> str:
        delivery = self.row.delivery
        return reverse("tailgate", args=[delivery.pk]) if delivery else reverse("dock")

    def get_crumbs(self) -> Crumbs:
        return trail(self.row.delivery) if self.row.delivery else ()

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"look": self.row.look}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"has_findings": bool(self.written)}

    def get_photo_about(self) -> About:
        row = self.row
        return About(delivery=row.delivery, shipment=row.shipment, crate=row)

    def get_photo_rows(self) -> QuerySet[Evidence]:
        """Return photos of the crate, whichever way it was first inspected."""
        mine = Evidence.objects.filter(recorded_by=self.person, kind__in=PHOTO_KINDS)
        about = self.get_photo_about().as_fields()
        return mine.filter(**about).select_related("original")

    def get_context_data(self, **more: object) -> dict[str, Any]:
        supplier = self.row.shipment.supplier
        order = supplier.standing_order if supplier else "none"
        return super().get_context_data(
            crate=self.row,
            written=self.written,
            supplier=supplier,
            advice=advise(damage_kinds=["broken"], standing_order=order),
            **more,
        )

    def act(self, form: LookForm) -> Answer:
        data = form.cleaned_data
        is_clear = data["look"] == "clear"
        photos: list[Evidence] = data["photos"]
        look_at_crate(
            person=self.person,
            at=now(),
            crate=self.row,
            version=data["version"],
            look=Look(
                look=data["look"],
                damage=form.damage(),
                refused_for=data["refused_for"] if data["look"] == "refused" else "",
                no_photo_reason="" if photos or is_clear else data["no_photo_reason"],
                reason=data.get("reason", ""),
            ),
            photos=[] if is_clear else photos,
        )
        saved = f" {pieces_in_words(len(photos), 'photo')} saved." if photos else ""
        words = LOOKS[data["look"]].lower()
        return self.done(f"Crate {self.row.number}: {words}.{saved}")


class ClearRest(ButtonAct[Delivery]):
    """Record no visible damage on every crate that is not inspected."""

    permission = "look"

    def get_queryset(self) -> QuerySet[Delivery]:
        return _deliveries()

    def get_back(self) -> str:
        return reverse("tailgate", args=[self.row.pk])

    def act(self) -> Answer:
        form = ClearRestForm(self.request.POST)
        if not form.is_valid():
            raise RefusedError(
                "Your browser did not send the number of crates. Nothing was changed. "
                "Press the button again."
            )
        rest = clear_rest(
            person=self.person, at=now(), delivery=self.row, **form.cleaned_data
        )
        return self.done(f"No visible damage on {pieces_in_words(len(rest), 'crate')}.")

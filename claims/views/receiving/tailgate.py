"""A truck at the dock: inspect its crates, then write the exceptions."""

from typing import Any
from uuid import uuid4

from django.db.models import Prefetch, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.receiving.looks import Look, look_at_crate
from claims.actions.receiving.rest import clear_rest
from claims.actions.receiving.undo import UNDOABLE
from claims.forms.receiving.tailgate import ClearRestForm, LookForm
from claims.models import Finding
from claims.queries.core.test_trucks import is_test
from claims.queries.receiving.truck_page import TruckPage, truck_page
from claims.rules.receiving import cautions
from claims.rules.receiving.advice import advise
from inventory.access import may, obtain, person_of, require
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.photo_facts import About
from inventory.models import Crate, Delivery, Event, Evidence
from inventory.queries.core.history import sentence_of
from inventory.queries.people.managers import managers_at
from inventory.queries.receiving.facts import fact_groups
from inventory.queries.returns.listing import empties_for
from inventory.rules.core.vocabulary import LOOKS, NOT_INSPECTED
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.bar import Bar
from inventory.views.core.clock import dock_words, now, truck_name
from inventory.views.core.phone_clock import tapped_at
from inventory.views.core.row_view import ButtonAct

PHOTO_KINDS = ("look", "damage")
CAUTIONS = {
    "caution_line": cautions.HEADLINE,
    "dock_cautions": cautions.DOCK_CAUTIONS,
    "cautions_defer": cautions.DEFERS,
}


def trail(delivery: Delivery) -> list[tuple[str, str]]:
    """Return the pages above a page of this truck."""
    tailgate_url = reverse("tailgate", args=[delivery.pk])
    return [("Dock", reverse("dock")), (truck_name(delivery), tailgate_url)]


def _deliveries() -> QuerySet[Delivery]:
    return Delivery.objects.select_related("location", "carrier")


@require_safe
def tailgate(request: HttpRequest, pk: int) -> HttpResponse:
    """Show every crate of the truck as a tile, and the one act that comes next."""
    person = person_of(request)
    row = obtain(_deliveries(), person, pk, "see")
    page = truck_page(row)
    name = truck_name(row)
    may_log = may(person, row.location_id, "log-delivery") and not row.is_signed
    may_look = may(person, row.location_id, "look") and not row.is_signed
    may_sign = may(person, row.location_id, "sign-receipt") and not row.is_signed
    context = {
        "delivery": row,
        "truck": page,
        "name": name,
        "bar": Bar(
            row.carrier.name,
            dock_words(row.location, row.arrived_at),
            reverse("dock"),
            "Back to the dock",
            _more(page, may_log=may_log, may_look=may_look, may_sign=may_sign),
        ),
        "may_look": may_look,
        "may_log": may_log,
        "may_sign": may_sign,
        "may_end_test": may(person, row.location_id, "log-delivery"),
        "is_test": is_test(row.pk),
        "empties": empties_for(row),
        "takes_empties": row.carrier.mode == "supplier-truck",
        "may_ship": may(person, row.location_id, "ship-crates"),
        "reasons": NOT_INSPECTED,
        "facts": fact_groups(row) if may_log else [],
        "client_id": uuid4(),
        **CAUTIONS,
        "crumbs": [("Dock", reverse("dock")), (name, "")],
    }
    return render(request, "claims/receiving/tailgate.html", context)


def _more(
    page: TruckPage, *, may_log: bool, may_look: bool, may_sign: bool
) -> tuple[tuple[str, str], ...]:
    """Return the seldom acts of the truck."""
    key = page.delivery.pk
    back = reverse("tailgate", args=[key])
    load = f"{reverse('add_evidence')}?delivery={key}&kind=load&next={back}"
    more = []
    if may_log:
        more.append(("Add a freight bill", reverse("add_bill", args=[key])))
        more.append(("Correct the truck", reverse("edit_delivery", args=[key])))
    if may_look:
        more.append(("Add a photo of the load", load))
    if page.bills and may_sign:
        more.append(("Exceptions to write", reverse("sign_receipt", args=[key])))
    more.append(("History of this truck", reverse("delivery", args=[key])))
    if may_look:
        more += [
            (
                f"List more crates on {bill.handover.shipment}",
                reverse("add_crates", args=[bill.handover.shipment_id]),
            )
            for bill in page.bills
        ]
    if may_log:
        more += [
            (
                f"{bill.handover.shipment} is not on this truck",
                reverse("withdraw_bill", args=[bill.handover.pk]),
            )
            for bill in page.bills
            if not bill.handover.is_closed
        ]
        mistake = reverse("withdraw_delivery", args=[key])
        more.append(("This truck was logged by mistake", mistake))
    return tuple(more)


class InspectCrate(ActView[Crate, LookForm]):
    """Record one crate's inspection; an exception says where, what and how severe."""

    permission = "look"
    form_class = LookForm
    template_name = "claims/receiving/look.html"
    back_words = "Back to the truck"
    undoes = "crate.looked"

    def get_queryset(self) -> QuerySet[Crate]:
        found = Finding.objects.filter(inspection__stage="tailgate").order_by("number")
        return Crate.objects.select_related(
            "shipment__supplier",
            "shipment__location",
            "delivery__carrier",
            "delivery__location",
        ).prefetch_related(Prefetch("findings", queryset=found))

    def get_row(self) -> Crate:
        sent = self.request.POST
        is_damaged = sent.get("look") in {"exception", "refused"} or sent.get("where")
        self.photo_kind = "damage" if is_damaged or sent.get("kind") else "look"
        return super().get_row()

    @cached_property
    def written(self) -> list[Finding]:
        """Return the exceptions written on this crate that still count."""
        return [one for one in self.row.findings.all() if one.route != "nowhere"]

    def get_title(self) -> str:
        return f"Crate {self.row.number} of {self.row.shipment.crates.count()}"

    def get_kicker(self) -> str:
        row = self.row
        about = row.mark or (row.delivery.carrier.name if row.delivery else "")
        return f"{row.shipment.pro_number} · {about}" if about else str(row.shipment)

    def get_more(self) -> tuple[tuple[str, str], ...]:
        key = self.row.pk
        here = self.request.path
        label = f"{reverse('add_evidence')}?crate={key}&kind=label&next={here}"
        return (
            (f"No label: mark it {self.row.number}, photograph the mark", label),
            ("Correct the crate's mark", reverse("edit_crate", args=[key])),
        )

    def get_back(self) -> str:
        delivery = self.row.delivery
        return reverse("tailgate", args=[delivery.pk]) if delivery else reverse("dock")

    def get_crumbs(self) -> Crumbs:
        return trail(self.row.delivery) if self.row.delivery else ()

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"refused_for": self.row.refused_for}

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
            managers=managers_at(self.row.shipment.location_id),
            **CAUTIONS,
            **more,
        )

    def act(self, form: LookForm) -> Answer:
        data = form.cleaned_data
        is_clear = data["look"] == "clear"
        photos: list[Evidence] = data["photos"]
        at = now()
        look_at_crate(
            person=self.person,
            at=at,
            tapped=tapped_at(self.request, at),
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
    undoes = "crates.cleared"

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
        at = now()
        rest = clear_rest(
            person=self.person,
            at=at,
            tapped=tapped_at(self.request, at),
            delivery=self.row,
            **form.cleaned_data,
        )
        return self.done(f"No visible damage on {pieces_in_words(len(rest), 'crate')}.")


class Undo(ButtonAct[Event]):
    """Undo one act from its message, until the record closes."""

    permission = "see"

    def get_queryset(self) -> QuerySet[Event]:
        return Event.objects.filter(kind__in=UNDOABLE).select_related("location")

    def get_row(self) -> Event:
        event = super().get_row()
        require(self.person, event.location_id or 0, UNDOABLE[event.kind].permission)
        return event

    def get_back(self) -> str:
        about = self.row.subjects.filter(noun="delivery").first()
        return reverse("tailgate", args=[about.key]) if about else reverse("dock")

    def act(self) -> Answer:
        UNDOABLE[self.row.kind].undo(person=self.person, at=now(), event=self.row)
        place = self.row.location  # there is one: without it the row was refused
        what = sentence_of(self.row, place.zone) if place else ""
        return self.done(f"Undone: {what}")

"""A packaging hold: its days, its two letters, and its release."""

from datetime import date
from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.letters.packaging import (
    KINDS,
    draw_letter,
    send_packaging_letter,
    write_letter,
)
from claims.forms.crates.packaging import (
    ClockStoppedForm,
    DayForm,
    LetterSentForm,
    ReleasePackagingForm,
)
from claims.queries.crates.packaging import hold_page, holds_joined
from claims.views.core.release_act import ReleaseAct
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.crates import packaging as acts
from inventory.actions.evidence.photo_facts import About
from inventory.evidence.seal.sent_documents import last_sent, last_sent_bytes
from inventory.forms.core.base import HouseForm
from inventory.models import PackagingHold
from inventory.rules.crates.packaging import PROOF_KINDS
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf

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


@require_safe
def carrier_letter_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the letter to the carrier as it was sent; with ``?draft=1`` the next."""
    return _letter(request, pk, "carrier")


@require_safe
def supplier_letter_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the letter to the supplier as it was sent; with ``?draft=1`` the next."""
    return _letter(request, pk, "supplier")


def _letter(request: HttpRequest, pk: int, who: str) -> HttpResponse:

    person = person_of(request)
    hold = obtain(holds_joined(), person, pk, "release-packaging")
    _check_addressee(hold, who)
    today = today_at(hold.crate.shipment.location)

    def give() -> bytes:
        kept = None if "draft" in request.GET else last_sent_bytes(hold, KINDS[who])
        return kept or draw_letter(hold, who, person=person, today=today)

    return answer_pdf(give, f"hold-{hold.pk}-{who}.pdf", disposition="attachment")


def _check_addressee(hold: PackagingHold, who: str) -> None:
    """Raise Http404 for a letter to the supplier about a crate with no clock."""
    if who == "supplier" and hold.crate.kind == "one-way":
        raise Http404


class _HoldAct(ActView[PackagingHold, Form]):
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


class _DatedHoldAct(_HoldAct[DatedForm]):
    """An act that happened on a day."""

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": self.today}


class _Ask(_DatedHoldAct[LetterSentForm]):
    """Show a letter about the hold; record the day on which it was sent."""

    form_class = LetterSentForm
    template_name = "claims/crates/packaging_letter.html"
    lead = (
        "Written from what is recorded. Download it, send it, then record the day you "
        "sent it."
    )
    who: str

    def get_row(self) -> PackagingHold:
        hold = super().get_row()
        _check_addressee(hold, self.who)
        return hold

    def get_title(self) -> str:
        return f"Letter to the {self.who}"

    def get_context_data(self, **more: object) -> dict[str, Any]:
        letter = write_letter(self.row, self.who, person=self.person, today=self.today)
        pdf = reverse(f"{self.who}_letter", args=[self.row.pk])
        return super().get_context_data(letter=letter, pdf=f"{pdf}?draft=1", **more)

    def act(self, form: LetterSentForm) -> Answer:
        send_packaging_letter(
            person=self.person,
            at=now(),
            today=self.today,
            hold=self.row,
            who=self.who,
            **form.cleaned_data,
        )
        return self.done(f"Letter to the {self.who} recorded as sent.")


class AskCarrier(_Ask):
    """Ask the carrier to inspect or to waive inspection."""

    who = "carrier"


class AskSupplier(_Ask):
    """Ask the supplier to stop its clock."""

    who = "supplier"


class StopClock(_DatedHoldAct[ClockStoppedForm]):
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
    _HoldAct[ReleasePackagingForm], ReleaseAct[PackagingHold, ReleasePackagingForm]
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

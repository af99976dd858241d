"""A packaging hold: its days, its two letters, and what lets it go."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

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
from inventory.access import may, obtain, person_of
from inventory.actions.crates import packaging as acts
from inventory.evidence.seal.sent_documents import last_sent, last_sent_bytes
from inventory.models import PackagingHold
from inventory.rules.crates.packaging import PROOF_KINDS
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.core.photos import keep_photos


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
    """Give the letter to the carrier as it was sent; a draft of the next on asking."""
    return _letter(request, pk, "carrier")


@require_safe
def supplier_letter_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the letter to the supplier as it was sent; a draft on asking."""
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


@require_http_methods(["GET", "POST"])
def ask_carrier(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the letter to the carrier; record on which day it was sent."""
    return _ask(request, pk, "carrier")


@require_http_methods(["GET", "POST"])
def ask_supplier(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the letter to the supplier; record on which day it was sent."""
    return _ask(request, pk, "supplier")


def _ask(request: HttpRequest, pk: int, who: str) -> HttpResponse:
    person = person_of(request)
    hold = obtain(holds_joined(), person, pk, "release-packaging")
    _check_addressee(hold, who)
    today = today_at(hold.crate.shipment.location)
    form = LetterSentForm(
        posted(request), today=today, initial={"version": hold.version}
    )

    def act() -> HttpResponse:
        send_packaging_letter(
            person=person,
            at=now(),
            today=today,
            hold=hold,
            version=form.cleaned_data["version"],
            who=who,
            on=form.cleaned_data["on"],
        )
        messages.success(request, f"Recorded: the letter to the {who} is sent.")
        return redirect("packaging_hold", hold.pk)

    letter = write_letter(hold, who, person=person, today=today)
    page = _page(
        hold,
        f"Letter to the {who}",
        "Written from what is recorded. Take it as PDF, send it, then record the day.",
        template="claims/crates/packaging_letter.html",
        more={
            "letter": letter,
            "pdf": f"{reverse(f'{who}_letter', args=[hold.pk])}?draft=1",
        },
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def stop_clock(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the supplier does not count the held days."""
    person = person_of(request)
    hold = obtain(holds_joined(), person, pk, "release-packaging")
    today = today_at(hold.crate.shipment.location)
    form: DayForm = ClockStoppedForm(
        posted(request), today=today, initial={"version": hold.version}
    )

    def act() -> HttpResponse:
        acts.stop_supplier_clock(
            person=person,
            at=now(),
            hold=hold,
            version=form.cleaned_data["version"],
            on=form.cleaned_data["on"],
        )
        messages.success(request, "Recorded: the supplier's clock stands still.")
        return redirect("packaging_hold", hold.pk)

    lead = (
        "Only where the supplier has agreed in writing. From then on none of the held "
        "days is counted against the deposit. Keep its answer as a photo or PDF."
    )
    page = _page(hold, "The supplier stopped its clock", lead)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def release_packaging(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the packaging go, for one of three reasons."""
    person = person_of(request)
    hold = obtain(holds_joined(), person, pk, "release-packaging")
    crate = hold.crate
    form = ReleasePackagingForm(
        posted(request),
        request.FILES if request.method == "POST" else None,
        initial={"version": hold.version},
    )

    def act() -> HttpResponse:
        how = form.cleaned_data["how"]
        evidence = keep_photos(
            form,
            form.cleaned_data["photos"],
            person=person,
            kind=PROOF_KINDS.get(how, "other"),
            delivery=crate.delivery,
            shipment=crate.shipment,
            crate=crate,
        )
        acts.release_packaging(
            person=person,
            at=now(),
            hold=hold,
            version=form.cleaned_data["version"],
            how=how,
            reason=form.cleaned_data["reason"],
            panel_kept=form.cleaned_data["panel_kept"],
            evidence=evidence,
        )
        messages.success(request, f"{crate} is released. It can be taken apart.")
        return redirect("crate", crate.pk)

    checks = hold_page(hold, today_at(crate.shipment.location)).photos
    page = _page(
        hold,
        "Release the packaging",
        hold.reason,
        template="claims/crates/release_packaging.html",
        more={"checks": checks, "here": reverse("packaging_hold", args=[hold.pk])},
    )
    return answer_act(request, form, page, act)


def _page(
    hold: PackagingHold,
    title: str,
    lead: str,
    *,
    template: str = "inventory/core/act.html",
    more: dict[str, object] | None = None,
) -> ActPage:
    back = reverse("packaging_hold", args=[hold.pk])
    return ActPage(
        title=title,
        kicker=str(hold.crate),
        lead=lead,
        back=back,
        back_words="Back to the hold; it stands as it is",
        row=hold,
        template=template,
        crumbs=[
            ("Crates", reverse("crates")),
            (str(hold.crate), reverse("crate", args=[hold.crate_id])),
            ("Packaging hold", back),
            (title, ""),
        ],
        more={"hold": hold, "crate": hold.crate, **(more or {})},
    )

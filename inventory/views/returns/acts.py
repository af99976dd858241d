"""A return leaves, arrives, or loses a crate; and its papers as PDF."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import obtain, person_of
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.returns import arrival as return_receipts
from inventory.actions.returns import losses as return_losses
from inventory.actions.returns.shipping import Departure
from inventory.actions.returns.shipping import ship_return as let_leave
from inventory.documents.papers.returns import return_paper_pdf
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.forms.returns.returns import (
    LoseCrateForm,
    ReceiveReturnForm,
    ShipReturnForm,
)
from inventory.forms.returns.trailers import TrailerForm
from inventory.models import CrateReturn, Delivery, ReturnLine, User
from inventory.queries.returns.papers import bill_of, packing_list_of
from inventory.rules.core.sent_documents import BILL_OF_LADING, PACKING_LIST
from inventory.rules.returns.life import count_words
from inventory.rules.returns.papers import ReturnPaper
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import answer_act, posted
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.returns.listing import page_about, return_of

_OWN = ("version", "client_id", "photos")


@require_http_methods(["GET", "POST"])
def ship_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the return leave: the driver signs for the count, credits are expected."""
    person = person_of(request)
    row = return_of(person, pk, "ship-crates")
    today = today_at(row.location)
    truck = _truck(request, row, person)
    listed = row.lines.filter(is_taken_off=False).count()
    form = ShipReturnForm(
        posted(request),
        request.FILES if request.method == "POST" else None,
        location=row.location,
        today=today,
        currency=row.currency,
        initial={
            "version": row.version,
            "left_on": today,
            "billed_on": today,
            "carrier": row.carrier_id or (truck.carrier_id if truck else None),
            "delivery": truck.pk if truck else None,
            "driver_name": truck.driver_name if truck else "",
            "how_signed": "signed",
        },
    )

    def act() -> HttpResponse:
        _keep_photos(form, row, person)
        told = {k: v for k, v in form.cleaned_data.items() if k not in _OWN}
        sent = let_leave(
            crate_return=row,
            version=form.cleaned_data["version"],
            departure=Departure(**told, trailer=TrailerForm(request.GET).trailer()),
            person=person,
            at=now(),
        )
        messages.success(request, f"{sent} has left with {listed} crates.")
        if words := count_words(listed, sent.driver_count):
            messages.warning(request, f"{words} Both counts are kept.")
        return redirect("crate_return", row.pk)

    lead = f"{listed} crate{'' if listed == 1 else 's'} to {row.supplier} are listed."
    return answer_act(request, form, page_about(row, "It leaves", lead), act)


def _truck(request: HttpRequest, row: CrateReturn, person: User) -> Delivery | None:
    key = request.GET.get("delivery", "")
    if not key:
        return row.delivery
    rows = Delivery.objects.filter(location=row.location).select_related(
        "carrier", "location"
    )
    return obtain(rows, person, key, "ship-crates")


def _keep_photos(form: ShipReturnForm, row: CrateReturn, person: User) -> None:
    uploads = form.cleaned_data["photos"]
    for upload, client_id in zip(uploads, form.upload_ids(len(uploads)), strict=True):
        kept = keep_evidence(
            person=person,
            at=now(),
            upload=upload,
            client_id=client_id,
            kind="load",
            crate_return=row,
            caption=f"Empties of {row} as loaded",
        )
        form.remarks += kept.remarks


@require_http_methods(["GET", "POST"])
def receive_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the day on which the supplier received the return."""
    person = person_of(request)
    row = return_of(person, pk, "ship-crates")
    form = ReceiveReturnForm(
        posted(request),
        today=today_at(row.location),
        initial={"version": row.version},
    )

    def act() -> HttpResponse:
        return_receipts.receive_return(
            crate_return=row, person=person, at=now(), **form.cleaned_data
        )
        messages.success(request, f"The supplier has received {row}.")
        return redirect("crate_return", row.pk)

    lead = (
        "By the carrier's proof of delivery, or the supplier's own word. Where the "
        "terms count to this day, what is expected is reckoned anew."
    )
    return answer_act(request, form, page_about(row, "It arrived", lead), act)


@require_http_methods(["GET", "POST"])
def lose_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the carrier lost a crate on its way back."""
    person = person_of(request)
    rows = ReturnLine.objects.select_related(
        "crate_return__location",
        "crate_return__supplier",
        "crate_return__carrier",
        "crate",
    )
    line = obtain(rows, person, pk, "post-deposits")
    home = line.crate_return
    form = LoseCrateForm(
        posted(request),
        today=today_at(home.location),
        initial={"version": line.version},
    )

    def act() -> HttpResponse:
        return_losses.lose_crate(
            line=line, person=person, at=now(), **form.cleaned_data
        )
        messages.success(
            request, f"{line.crate} is lost. What it cost stands against the carrier."
        )
        return redirect("crate_return", home.pk)

    page = page_about(home, f"{line.crate} was lost on the way")
    return answer_act(request, form, page, act)


@require_safe
def return_bol(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the bill of lading as PDF; as it went out, once the return has left."""
    row = return_of(person_of(request), pk, "see")
    return answer_pdf(
        lambda: (
            last_sent_bytes(row, BILL_OF_LADING)
            or drawn(bill_of(row, today_at(row.location)))
        ),
        f"bill-{row.number}.pdf",
    )


@require_safe
def return_packing_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the packing list with its stack plan; as it went out, once it has left."""
    row = return_of(person_of(request), pk, "see")
    trailer = TrailerForm(request.GET).trailer()
    return answer_pdf(
        lambda: (
            last_sent_bytes(row, PACKING_LIST)
            or drawn(packing_list_of(row, today_at(row.location), trailer))
        ),
        f"packing-list-{row.number}.pdf",
    )


def drawn(content: ReturnPaper) -> bytes:
    """Return a paper that has not gone out yet as PDF bytes."""
    return return_paper_pdf(content, root=settings.RENDITION_ROOT)

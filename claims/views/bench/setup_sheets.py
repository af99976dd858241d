"""Setup sheets as PDF: as signed off, and as they are before that."""

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from claims.actions.bench.setup_sheets import drawn_sheet
from claims.models import SignOff
from claims.queries.bench.setup_sheets import signing_of
from claims.queries.bench.setups import setup_page
from inventory.access import obtain, person_of
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.models import Unit
from inventory.rules.core.sent_documents import SETUP_SHEET
from inventory.views.core.clock import now
from inventory.views.core.pdf_answers import answer_pdf


@require_safe
def setup_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the sheet of a setup that is not finished; else lead to the signed one."""
    units = Unit.objects.select_related("shipment__location")
    person = person_of(request)
    unit = obtain(units, person, pk, "see")
    page = setup_page(unit)
    if page is None:
        raise Http404
    signed = page.setup.sign_offs.filter(state="complete").order_by("-pk").first()
    if signed is not None:
        return redirect("signed_sheet", pk=signed.pk)
    return answer_pdf(
        lambda: drawn_sheet(page.setup, person=person, at=now()),
        f"setup-sheet-{unit.pk}-so-far.pdf",
    )


@require_safe
def signed_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the sheet of a sign-off as it went out."""
    person = person_of(request)
    row = obtain(_sign_offs(), person, pk, "see")
    setup = row.setup
    if setup is None:
        raise Http404

    def give() -> bytes:
        kept = last_sent_bytes(row, SETUP_SHEET)
        return kept or drawn_sheet(
            setup, person=person, at=row.signed_at, signing=signing_of(row)
        )

    return answer_pdf(give, f"setup-sheet-{row.unit_id}-{row.pk}.pdf")


def _sign_offs() -> QuerySet[SignOff]:
    return SignOff.objects.select_related(
        "signed_by",
        "unit__shipment__location",
        "setup__setup_list",
        "setup__begun_by",
        "setup__unit__shipment__location",
        "setup__unit__crate",
    )

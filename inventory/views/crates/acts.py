"""Acts on one crate: its type, emptied, checked, scrapped, disposed of."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.access import obtain, person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.crates import life as crate_life
from inventory.actions.crates.checks import check_crate as act_check
from inventory.actions.crates.life import decide_act, why_not_dispose
from inventory.addresses import address_of
from inventory.forms.crates.life import (
    CheckCrateForm,
    CrateTypeOfForm,
    DisposeCrateForm,
    ScrapCrateForm,
)
from inventory.models import Crate, User
from inventory.rules.crates.takedown import CAUTIONS, DEFERS, FOR_THE_CREDIT
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.photos import keep_photos
from inventory.views.ways import go_to


def _crate(person: User, pk: int, act: str) -> Crate:
    rows = Crate.objects.select_related(
        "shipment__location", "shipment__supplier", "delivery", "crate_type"
    )
    return obtain(rows, person, pk, act)


@require_http_methods(["GET", "POST"])
def set_crate_type(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which type of crate it is."""
    person = person_of(request)
    row = _crate(person, pk, "keep-crates")
    form = CrateTypeOfForm(
        posted(request),
        supplier=row.shipment.supplier,
        initial={"version": row.version, "crate_type": row.crate_type_id},
    )

    def act() -> HttpResponse:
        chosen = form.cleaned_data["crate_type"]
        crate_life.set_crate_type(
            person=person,
            at=now(),
            crate=row,
            crate_type=chosen,
            version=form.cleaned_data["version"],
        )
        messages.success(request, f"{row} is a {chosen}.")
        return go_to(address_of(row))

    lead = _type_lead(row)
    return answer_act(request, form, _page(row, "Which type it is", lead), act)


def _type_lead(row: Crate) -> str:
    supplier = row.shipment.supplier
    if supplier is None:
        return (
            "The freight bill names no supplier yet, so no type can be chosen. "
            "Fill in the freight bill first."
        )
    if not supplier.crate_types.exists():
        return (
            f"{supplier} has no crate type yet. The manager or accounting adds it on "
            "the supplier's crates page."
        )
    return "Its parts list and how it comes apart hang on its type."


@require_POST
def empty_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the machine is out of the crate."""
    person = person_of(request)
    row = _crate(person, pk, "keep-crates")
    try:
        crate_life.empty_crate(person=person, at=now(), crate=row)
    except RefusedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{row} is recorded as emptied. Check it next.")
    return go_to(address_of(row))


@require_http_methods(["GET", "POST"])
def check_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the crate apart by its instructions and count its parts."""
    person = person_of(request)
    row = _crate(person, pk, "keep-crates")
    parts = list(row.crate_type.parts.order_by("pk")) if row.crate_type else []
    form = CheckCrateForm(
        posted(request),
        request.FILES if request.method == "POST" else None,
        parts=parts,
        initial={"version": row.version},
    )

    def act() -> HttpResponse:
        photos = keep_photos(
            form,
            form.cleaned_data["photos"],
            person=person,
            kind="crate-check",
            delivery=row.delivery,
            shipment=row.shipment,
            crate=row,
        )
        check = act_check(
            person=person,
            at=now(),
            crate=row,
            found=form.found(),
            note=form.cleaned_data["note"],
            version=form.cleaned_data["version"],
        )
        kept = f" {len(photos)} photos kept." if photos else ""
        words = check.get_result_display().lower()
        messages.success(request, f"{row} is checked: {words}.{kept}")
        return go_to(address_of(row))

    page = ActPage(
        title=f"Take apart and check {str(row).lower() if not row.mark else row}",
        kicker=str(row.crate_type or "Type not known yet"),
        back=address_of(row),
        back_words="Back to the crate without a check",
        row=row,
        template="inventory/crates/check_crate.html",
        crumbs=_crumbs(row, "Check"),
        more={
            "crate": row,
            "parts": parts,
            "refusal": _why_not_check(row),
            "cautions": CAUTIONS,
            "for_the_credit": FOR_THE_CREDIT,
            "defers": DEFERS,
        },
    )
    return answer_act(request, form, page, act)


def _why_not_check(row: Crate) -> str:
    if row.crate_type is None:
        return (
            "Say which type of crate it is first: its parts list hangs on that. "
            "Nothing was changed."
        )
    try:
        decide_act(row, "check", "complete")
    except RefusedError as error:
        return str(error)
    return ""


@require_http_methods(["GET", "POST"])
def scrap_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Scrap a reusable crate, with the reason."""
    person = person_of(request)
    row = _crate(person, pk, "keep-crates")
    form = ScrapCrateForm(posted(request), initial={"version": row.version})

    def act() -> HttpResponse:
        crate_life.scrap_crate(
            person=person,
            at=now(),
            crate=row,
            reason=form.cleaned_data["reason"],
            version=form.cleaned_data["version"],
        )
        messages.success(request, f"{row} is scrapped. Accounting sees to its deposit.")
        return go_to(address_of(row))

    lead = (
        "A scrapped crate earns nothing: accounting forfeits its deposit. Where only "
        "parts are missing, a check as it stands may still earn some of it."
    )
    return answer_act(request, form, _page(row, "Scrap the crate", lead), act)


@require_http_methods(["GET", "POST"])
def dispose_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Record what became of a one-way crate."""
    person = person_of(request)
    row = _crate(person, pk, "keep-crates")
    form = DisposeCrateForm(posted(request), initial={"version": row.version})

    def act() -> HttpResponse:
        done = crate_life.dispose_crate(
            person=person,
            at=now(),
            crate=row,
            how=form.cleaned_data["how"],
            version=form.cleaned_data["version"],
        )
        words = done.get_disposal_display().lower()
        messages.success(request, f"{row} is recorded: {words}.")
        return go_to(address_of(row))

    lead = why_not_dispose(row).removesuffix(" Nothing was changed.")
    return answer_act(request, form, _page(row, "What became of it", lead), act)


def _page(row: Crate, title: str, lead: str) -> ActPage:
    return ActPage(
        title=title,
        kicker=str(row),
        lead=lead,
        back=address_of(row),
        back_words="Back to the crate without saving",
        row=row,
        crumbs=_crumbs(row, title),
    )


def _crumbs(row: Crate, last: str) -> list[tuple[str, str]]:
    return [
        ("Crates", reverse("crates")),
        (str(row), address_of(row)),
        (last, ""),
    ]

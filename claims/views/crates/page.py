"""The page of one crate: history, days, money, and what each person may do."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from claims.actions.bench.opening import why_not_open
from claims.queries.crates.page import CratePage, crate_page, next_lead, open_return
from claims.queries.desk import stories
from claims.views.core.withdrawn import withdrawn_page
from inventory.access import may, obtain, person_of
from inventory.actions.crates.life import why_not_dispose
from inventory.models import Crate
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.crates.life import CrateFacts
from inventory.rules.crates.takedown import DEFERS
from inventory.rules.crates.words import ON_HAND
from inventory.views.core.clock import today_at

RIGHTS = (
    "inspect",
    "keep-crates",
    "ship-crates",
    "see-deposits",
    "post-deposits",
    "release-packaging",
    "keep-terms",
    "log-delivery",
)


@dataclass(frozen=True)
class Offer:
    """One act the page offers; ``is_post`` is done by its button at once."""

    words: str
    url: str
    is_post: bool = False


@require_safe
def crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one crate with its history, and offer what this person may do with it."""
    person = person_of(request)
    rows = Crate.everything.select_related(
        "shipment__location",
        "shipment__supplier",
        "shipment__carrier",
        "delivery",
        "crate_type",
        "withdrawn_by",
    ).prefetch_related("units")
    row = obtain(rows, person, pk, "see")
    here = row.shipment.location
    if row.is_withdrawn:
        return withdrawn_page(request, row, here, leave_out=MONEY_KINDS)
    rights = {act: may(person, here.pk, act) for act in RIGHTS}
    page = crate_page(row, today_at(here), sees_money=rights["see-deposits"])
    is_over = row.is_over
    offers = _over_offers(row, rights) if is_over else _offers(row, page, rights)
    context = {
        "crate": row,
        "units": list(row.units.all()),
        "page": page,
        "next_lead": next_lead(row, page),
        "offers": offers,
        "rights": {act.replace("-", "_"): held for act, held in rights.items()},
        "defers": DEFERS,
        "photos": stories.evidence_of(crate=row),
        "crumbs": [("Crates", reverse("crates")), (str(row), "")],
    }
    return render(request, "claims/crates/crate.html", context)


def _offers(row: Crate, page: CratePage, rights: Mapping[str, bool]) -> list[Offer]:
    """Return the acts this person may do with the crate now, the next one first."""
    made: list[Offer] = []
    if rights["inspect"] and row.opened_at is None and not why_not_open(row):
        made.append(Offer("Open crate", reverse("open_crate", args=[row.pk])))
    if page.open_hold and rights["release-packaging"]:
        made.append(
            Offer(
                "Go to the packaging hold",
                reverse("packaging_hold", args=[page.open_hold.pk]),
            )
        )
    if rights["ship-crates"] and "stage" in _acts(row, page):
        made.append(_return_of(row))
    if rights["post-deposits"] and _lacks_deposit(row, page):
        url = f"{reverse('charge_deposits')}?crate={row.pk}"
        made.append(Offer("Enter its deposit charge", url))
    if not rights["keep-crates"]:
        return made
    if row.kind == "one-way":
        if not why_not_dispose(row):
            url = reverse("dispose_crate", args=[row.pk])
            made.append(Offer("Record what became of it", url))
        return made
    return [*made, *_life_offers(row, page)]


def _over_offers(row: Crate, rights: Mapping[str, bool]) -> list[Offer]:
    """Return the one act on a crate that is over: it is not ours."""
    url = reverse("answer_over", args=[row.pk])
    made = [Offer("Record the carrier's answer", url)]
    return made if rights["log-delivery"] else []


def _return_of(row: Crate) -> Offer:
    """Offer the return that is being staged for its supplier, or a new one."""
    begun = open_return(row)
    if begun is not None:
        return Offer(f"Stage it on {begun}", reverse("stage_crates", args=[begun.pk]))
    about = {"supplier": row.shipment.supplier_id, "location": row.shipment.location_id}
    words = urlencode({key: value for key, value in about.items() if value})
    return Offer("Start a return", f"{reverse('make_return')}?{words}")


def _lacks_deposit(row: Crate, page: CratePage) -> bool:
    """Return whether a reusable crate that is here has no deposit yet."""
    return row.state in ON_HAND and page.days.deposit is None


def _acts(row: Crate, page: CratePage) -> tuple[str, ...]:
    """Return the acts of the crate's life that nothing on record forbids."""
    is_opened = row.opened_at is not None
    facts = CrateFacts(is_held=page.is_held, is_opened=is_opened)
    return row.life.acts_from(row.state, facts)


def _life_offers(row: Crate, page: CratePage) -> list[Offer]:
    acts = _acts(row, page)
    made: list[Offer] = []
    if "empty" in acts:
        url = reverse("empty_crate", args=[row.pk])
        made.append(Offer("Record as empty", url, is_post=True))
    if "retype" in acts and row.crate_type is None:
        made.append(
            Offer("Set the crate type", reverse("set_crate_type", args=[row.pk]))
        )
    if "check" in acts and row.crate_type is not None:
        words = "Take apart and check" if row.state == "emptied" else "Check again"
        made.append(Offer(words, reverse("check_crate", args=[row.pk])))
    if "retype" in acts and row.crate_type is not None:
        made.append(
            Offer("Change the crate type", reverse("set_crate_type", args=[row.pk]))
        )
    if "scrap" in acts:
        made.append(Offer("Scrap the crate", reverse("scrap_crate", args=[row.pk])))
    return made

"""A supplier's crates: its types, their parts, and the terms by date."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import locations_of, person_of, require_somewhere
from inventory.actions.crates.terms import add_terms as act_add_terms
from inventory.actions.crates.types import add_crate_type as act_add
from inventory.actions.crates.types import change_crate_type
from inventory.forms.crates.terms import TermsForm
from inventory.forms.crates.types import (
    LEAST_PART_ROWS,
    CrateTypeForm,
    EditCrateTypeForm,
    initial_of,
)
from inventory.models import CrateTerms, CrateType, Supplier, User
from inventory.queries.crates.terms import size_words, terms_of_supplier, types_of
from inventory.queries.people.partners import one_supplier
from inventory.rules.crates.takedown import CAUTIONS, DEFERS, FOR_THE_CREDIT
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted

TWO_YEARS = timedelta(days=731)


@require_safe
def crate_types(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a supplier's crate types and its terms, the newest first."""
    person = person_of(request)
    require_somewhere(person, "keep-terms")
    supplier = one_supplier(pk)
    types = list(types_of(supplier))
    context = {
        "supplier": supplier,
        "here": locations_of(person, "keep-terms")[0],
        "types": [(one, size_words(one)) for one in types],
        "terms": terms_of_supplier(supplier, _today(person)),
        "cautions": CAUTIONS,
        "for_the_credit": FOR_THE_CREDIT,
        "defers": DEFERS,
        "may_keep_partners": locations_of(person, "keep-partners").exists(),
        "crumbs": [("Crates", reverse("crates")), (supplier.name, "")],
    }
    return render(request, "inventory/crates/crate_types.html", context)


@require_http_methods(["GET", "POST"])
def add_crate_type(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a type of crate with its parts list."""
    person = person_of(request)
    require_somewhere(person, "keep-terms")
    supplier = one_supplier(pk)
    form = CrateTypeForm(
        posted(request),
        initial={
            "build": "wood",
            "kept_by": "mark",
            "size_unit": "in",
            "weight_unit": "lb",
            "most_stacked": 1,
        },
    )

    def act() -> HttpResponse:
        row = act_add(
            person=person,
            at=now(),
            supplier=supplier,
            parts=form.parts(),
            **form.own_fields(),
        )
        messages.success(request, f"{row} is kept.")
        return redirect("crate_types", supplier.pk)

    return answer_act(request, form, _page(supplier, "Add a crate type"), act)


@require_http_methods(["GET", "POST"])
def edit_crate_type(request: HttpRequest, pk: int, key: int) -> HttpResponse:
    """Change a type of crate."""
    person = person_of(request)
    require_somewhere(person, "keep-terms")
    supplier = one_supplier(pk)
    row = _one_type(supplier, key)
    form = EditCrateTypeForm(
        posted(request),
        initial=initial_of(row),
        part_rows=max(LEAST_PART_ROWS, row.parts.count() + 2),
    )

    def act() -> HttpResponse:
        change_crate_type(
            person=person,
            at=now(),
            crate_type=row,
            version=form.cleaned_data["version"],
            parts=form.parts(),
            **form.own_fields(),
        )
        messages.success(request, f"{row} is changed.")
        return redirect("crate_types", supplier.pk)

    page = _page(supplier, f"Change {row}", row=row)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def add_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Add terms from a date on, begun with what stands now."""
    person = person_of(request)
    require_somewhere(person, "keep-terms")
    supplier = one_supplier(pk)
    types = list(types_of(supplier))
    today = _today(person)
    form = TermsForm(
        posted(request),
        types=types,
        latest=today + TWO_YEARS,
        initial=_begun_with(supplier, today, person),
    )

    def act() -> HttpResponse:
        row = act_add_terms(
            person=person, at=now(), supplier=supplier, told=form.told()
        )
        messages.success(
            request,
            f"Terms from {row.starts_on} are added. Deposits charged before keep the "
            "terms they were charged under.",
        )
        return redirect("crate_types", supplier.pk)

    page = _page(supplier, "Add crate terms", lead=_terms_lead(types))
    return answer_act(request, form, page, act)


def _terms_lead(types: Sequence[CrateType]) -> str:
    if not types:
        return (
            "This supplier has no crate type yet, and a deposit is of a type. "
            "Go back and add one first."
        )
    return (
        "Terms are never changed: new ones begin on a day of their own, and a deposit "
        "keeps the terms it was charged under."
    )


def _page(
    supplier: Supplier, title: str, *, row: CrateType | None = None, lead: str = ""
) -> ActPage:
    back = reverse("crate_types", args=[supplier.pk])
    return ActPage(
        title=title,
        kicker=supplier.name,
        lead=lead,
        back=back,
        back_words="Back without saving",
        row=row,
        crumbs=[
            ("Crates", reverse("crates")),
            (supplier.name, back),
            (title, ""),
        ],
    )


def _one_type(supplier: Supplier, key: int) -> CrateType:
    try:
        return types_of(supplier).get(pk=key)
    except (CrateType.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def _today(person: User) -> date:
    """Return the latest of the days at the person's own docks."""
    return max(today_at(place) for place in locations_of(person, "keep-terms"))


def _begun_with(supplier: Supplier, today: date, person: User) -> dict[str, Any]:
    """Return what the form begins with: the newest terms, else the usual."""
    last = supplier.terms.order_by("-starts_on", "-pk").first()
    if last is None:
        place = locations_of(person, "keep-terms")[0]
        return {
            "currency": place.currency,
            "clock_starts": "invoice",
            "clock_stops": "receipt",
            "decline": "none",
            "includes_last_day": True,
            "oldest_first": True,
            "return_freight": "us",
            "minimum_per_pickup": 1,
            "needs_authorization": supplier.needs_return_authorization,
        }
    return _as_before(last)


def _as_before(last: CrateTerms) -> dict[str, Any]:
    plain = ("currency", "clock_starts", "clock_stops", "full_days", "decline")
    flags = ("includes_last_day", "needs_authorization", "needs_appointment")
    way = ("return_freight", "minimum_per_pickup", "transit_days", "unloading_days")
    more = ("ends_day", "memo_days", "oldest_first")
    initial: dict[str, Any] = {
        name: getattr(last, name) for name in (*plain, *flags, *way, *more)
    }
    initial["ceiling"] = last.ceiling_percent
    for number, step in enumerate(last.steps.all(), start=1):
        initial[f"step_{number}_day"] = step.after_day
        initial[f"step_{number}_percent"] = step.percent
    for rate in last.rates.all():
        initial[f"rate_{rate.crate_type_id}"] = rate.deposit_cents
    for price in last.deductions.all():
        initial[f"missing_{price.part_id}"] = price.missing_cents
        initial[f"damaged_{price.part_id}"] = price.damaged_cents
    return initial

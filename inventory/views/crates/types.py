"""A supplier's crates: its types, their parts, and its terms by date."""

from datetime import date, timedelta
from typing import Any, TypeVar

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import locations_of, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.crates.terms import add_terms as act_add_terms
from inventory.actions.crates.types import add_crate_type as act_add
from inventory.actions.crates.types import change_crate_type
from inventory.forms.core.base import HouseForm
from inventory.forms.crates.terms import TermsForm
from inventory.forms.crates.types import (
    CrateTypeForm,
    EditCrateTypeForm,
    initial_of,
)
from inventory.models import CrateTerms, CrateType, Location, Supplier, User
from inventory.queries.crates.terms import size_words, terms_of_supplier, types_of
from inventory.queries.people.partners import one_supplier
from inventory.rules.crates.takedown import CAUTIONS, DEFERS, FOR_THE_CREDIT
from inventory.rules.reckoning.moments import day_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.row_view import Row

Form = TypeVar("Form", bound=HouseForm)

TWO_YEARS = timedelta(days=731)


@require_safe
def crate_types(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a supplier's crate types, and its terms, newest first."""
    person = person_of(request)
    require_somewhere(person, "keep-terms")
    supplier = one_supplier(pk)
    types = list(types_of(supplier))
    context = {
        "supplier": supplier,
        "here": _place(person),
        "types": [(one, size_words(one)) for one in types],
        "terms": terms_of_supplier(supplier, _today(person)),
        "cautions": CAUTIONS,
        "for_the_credit": FOR_THE_CREDIT,
        "defers": DEFERS,
        "may_keep_partners": locations_of(person, "keep-partners").exists(),
        "crumbs": [_above(person), (supplier.name, "")],
    }
    return render(request, "inventory/crates/crate_types.html", context)


class _SupplierAct(ActView[Row, Form]):
    """What the pages of a supplier's crates have in common."""

    permission = "keep-terms"
    back_words = "Back without saving"
    supplier: Supplier
    """The supplier of the address."""

    def get_row(self) -> Row:
        require_somewhere(self.person, self.permission)
        self.supplier = one_supplier(self.kwargs["pk"])
        return self.find_row()

    def find_row(self) -> Row:
        """Return the row that the page is about. May raise Http404."""
        raise NotImplementedError

    def get_back(self) -> str:
        return reverse("crate_types", args=[self.supplier.pk])

    def get_kicker(self) -> str:
        return self.supplier.name

    def get_crumbs(self) -> Crumbs:
        return [_above(self.person), (self.supplier.name, self.get_back())]


class AddCrateType(_SupplierAct[None, CrateTypeForm]):
    """Add a type of crate with its parts list."""

    form_class = CrateTypeForm
    title = "Add a crate type"

    def find_row(self) -> None:
        return None

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "build": "wood",
            "kept_by": "mark",
            "size_unit": "in",
            "weight_unit": "lb",
            "most_stacked": 1,
        }

    def act(self, form: CrateTypeForm) -> Answer:
        row = act_add(
            person=self.person,
            at=now(),
            supplier=self.supplier,
            parts=form.parts(),
            **form.own_fields(),
        )
        return self.done(f"{row} added.", row=row)


class EditCrateType(_SupplierAct[CrateType, EditCrateTypeForm]):
    """Change a type of crate."""

    form_class = EditCrateTypeForm

    def find_row(self) -> CrateType:
        row = _one_type(self.supplier, self.kwargs["key"])
        self.title = f"Change {row}"
        return row

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | initial_of(self.row)

    def act(self, form: EditCrateTypeForm) -> Answer:
        change_crate_type(
            person=self.person,
            at=now(),
            crate_type=self.row,
            version=form.cleaned_data["version"],
            parts=form.parts(),
            **form.own_fields(),
        )
        return self.done(f"{self.row} changed.")


class AddTerms(_SupplierAct[None, TermsForm]):
    """Add terms from a date on; the form shows the terms in force first."""

    form_class = TermsForm
    title = "Add crate terms"

    def find_row(self) -> None:
        self.types = list(types_of(self.supplier))
        self.today = _today(self.person)

    def get_lead(self) -> str:
        if not self.types:
            return (
                "This supplier has no crate type yet. Deposits are charged by type: "
                "go back and add one first."
            )
        return (
            "Terms are never changed. New terms start on their own date, and each "
            "deposit keeps the terms under which it was charged."
        )

    def get_initial(self) -> dict[str, Any]:
        first = _first_shown(self.supplier, self.person)
        return super().get_initial() | first

    def get_form_kwargs(self) -> dict[str, Any]:
        latest = self.today + TWO_YEARS
        return super().get_form_kwargs() | {"types": self.types, "latest": latest}

    def act(self, form: TermsForm) -> Answer:
        row = act_add_terms(
            person=self.person, at=now(), supplier=self.supplier, told=form.told()
        )
        return self.done(
            f"Terms from {day_words(row.starts_on, self.today)} added. Deposits "
            "charged before keep their terms.",
            row=row,
        )


def _one_type(supplier: Supplier, key: int) -> CrateType:
    try:
        return types_of(supplier).get(pk=key)
    except (CrateType.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def _above(person: User) -> tuple[str, str]:
    """Return the list above: crates, or suppliers for whoever sees no crates."""
    if locations_of(person).exists():
        return "Crates", reverse("crates")
    return "Suppliers", reverse("suppliers")


def _today(person: User) -> date:
    """Return the latest of today's dates at the person's own docks."""
    places = [*locations_of(person, "keep-terms")] or [_place(person)]
    return max(today_at(place) for place in places)


def _place(person: User) -> Location:
    """Return the person's first dock; a nameless one where none is entered yet."""
    return locations_of(person, "keep-terms").first() or Location(time_zone="UTC")


def _first_shown(supplier: Supplier, person: User) -> dict[str, Any]:
    """Return what a fresh form shows: the newest terms, else the usual ones."""
    last = supplier.terms.order_by("-starts_on", "-pk").first()
    if last is None:
        return {
            "currency": _place(person).currency,
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
    initial["step"] = [
        {"day": step.after_day, "percent": step.percent} for step in last.steps.all()
    ]
    for rate in last.rates.all():
        initial[f"rate_{rate.crate_type_id}"] = rate.deposit_cents
    for price in last.deductions.all():
        initial[f"missing_{price.part_id}"] = price.missing_cents
        initial[f"damaged_{price.part_id}"] = price.damaged_cents
    return initial

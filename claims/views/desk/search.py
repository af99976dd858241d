"""The search box: rows of every kind by any part of a number."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from claims.models import Claim
from inventory.access import person_of, scoped
from inventory.models import (
    Crate,
    CrateReturn,
    CreditMemo,
    Delivery,
    Deposit,
    Shipment,
    Unit,
    User,
)
from inventory.queries.core.search import Found, find, place_of
from inventory.queries.crates.identity import crates_named
from inventory.rules.codes.identifiers import parse
from inventory.searched import SEARCH_KINDS

MOST_FOUND = 25


@dataclass(frozen=True)
class _Kind:
    """A section of the page: its words, its rows, and what is said beside each."""

    title: str
    rows: Callable[[], QuerySet[Any]]
    beside: Callable[[Any], str]


def _of_bill(bill: Shipment) -> str:
    return f"{bill.carrier}{f', BOL {bill.bol_number}' if bill.bol_number else ''}"


def _of_claim(claim: Claim) -> str:
    elsewhere = ", opened elsewhere" if claim.opened_elsewhere else ""
    theirs = claim.carrier_claim_number
    return (
        f"{claim.get_state_display()}{elsewhere}{f', carrier {theirs}' * bool(theirs)}"
    )


def _of_truck(truck: Delivery) -> str:
    trailer, seal = truck.trailer_number, truck.seal_number
    told = [str(truck.carrier), f"trailer {trailer}" * bool(trailer)]
    return ", ".join(filter(None, [*told, f"seal {seal}" * bool(seal)]))


_KINDS = {
    "shipment": _Kind(
        "Freight bills",
        lambda: Shipment.objects.select_related("carrier"),
        _of_bill,
    ),
    "machine": _Kind(
        "Machines",
        lambda: Unit.objects.select_related("shipment"),
        lambda unit: str(unit.shipment),
    ),
    "crate": _Kind(
        "Crates",
        lambda: Crate.objects.select_related("shipment"),
        lambda crate: str(crate.shipment),
    ),
    "claim": _Kind("Claims", Claim.objects.all, _of_claim),
    "truck": _Kind(
        "Trucks", lambda: Delivery.objects.select_related("carrier"), _of_truck
    ),
    "return": _Kind(
        "Returns",
        lambda: CrateReturn.objects.select_related("supplier"),
        lambda row: f"{row.supplier}, {row.get_state_display()}",
    ),
    "memo": _Kind(
        "Credit memos",
        lambda: CreditMemo.objects.select_related("supplier"),
        lambda row: str(row.supplier),
    ),
    "deposit": _Kind(
        "Deposits",
        lambda: Deposit.objects.select_related("supplier"),
        lambda row: f"{row.supplier}, invoice {row.invoice_number}",
    ),
}


@dataclass(frozen=True)
class Section:
    """What was found of one kind; ``more`` is the address of the next page."""

    name: str
    title: str
    rows: list[tuple[Model, str]]
    more: str


@require_safe
def search(request: HttpRequest) -> HttpResponse:
    """Find rows by any part of a number, a page of each kind, or more of one kind."""
    person = person_of(request)
    typed = request.GET.get("q", "")[:200]
    only = request.GET.get("kind", "")
    after = place_of(request.GET.get("after", "")) if only in _KINDS else None
    kinds = [only] if only in _KINDS else list(_KINDS)
    found = find(person, typed, kinds, most=MOST_FOUND, after=after)
    if "crate" in kinds and after is None:
        found["crate"] = _with_named(person, typed, found["crate"])
    sections = [
        _section(person, name, found[name], typed) for name in kinds if found[name].keys
    ]
    context = {"q": typed, "sections": sections, "is_later": after is not None}
    return render(request, "claims/desk/search.html", context)


def _with_named(person: User, typed: str, found: Found) -> Found:
    """Put the crates first that a whole code names in any of its forms."""
    rows = scoped(Crate.objects.all(), person)
    named = [crate.pk for crate in crates_named(rows, parse(typed))]
    keys = [*named, *found.keys] if not set(named) <= set(found.keys) else found.keys
    return Found(list(dict.fromkeys(keys)), found.after)


def _section(person: User, name: str, found: Found, typed: str) -> Section:
    kind = _KINDS[name]
    rows = scoped(kind.rows(), person, SEARCH_KINDS[name].act).in_bulk(found.keys)
    more = ""
    if found.after is not None:
        more = "?" + urlencode({"q": typed, "kind": name, "after": str(found.after)})
    shown = [(rows[key], kind.beside(rows[key])) for key in found.keys if key in rows]
    return Section(name, kind.title, shown, more)

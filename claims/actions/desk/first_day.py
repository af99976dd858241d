"""What the first day enters in one act: a supplier with its crates, our accounts."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from claims.rules.core.first_day import usual_numbers
from inventory.actions.crates.terms import TermsTold, add_terms
from inventory.actions.crates.types import add_crate_type
from inventory.actions.ledger.periods import Numbered, number_accounts
from inventory.actions.people.partners import add_supplier
from inventory.models import AccountNumber, Location, Supplier, User
from inventory.rules.deposits.credit import Terms

SOURCE = "As entered on the first day; compare it with the supplier's own terms"


@dataclass(frozen=True)
class FirstCrates:
    """One type of crate with its deposit in cents, and the terms from a day on."""

    name: str
    deposit_cents: int
    currency: str
    rule: Terms
    starts_on: date


def add_first_supplier(
    *, person: User, at: datetime, crates: FirstCrates | None, **fields: object
) -> Supplier:
    """Add a supplier, its crate type and its terms, all or nothing. Raise RefusedError."""
    with transaction.atomic():
        supplier = add_supplier(person=person, at=at, periods=[], **fields)
        if crates is None:
            return supplier
        row = add_crate_type(
            person=person, at=at, supplier=supplier, parts=[], name=crates.name
        )
        told = TermsTold(
            starts_on=crates.starts_on,
            currency=crates.currency,
            rule=crates.rule,
            source=SOURCE,
            rates={row.pk: crates.deposit_cents},
            deductions={},
        )
        add_terms(person=person, at=at, supplier=supplier, told=told)
    return supplier


def number_usually(*, person: User, at: datetime, places: Iterable[Location]) -> None:
    """Give every account without a number the usual one, at these locations."""
    with transaction.atomic():
        for place in places:
            rows = AccountNumber.objects.filter(location=place)
            kept = dict(rows.values_list("kind", "number"))
            given = [
                Numbered(kind=kind, number=number, name="", version=None)
                for kind, number in usual_numbers().items()
                if kind not in kept and number not in kept.values()
            ]
            number_accounts(location=place, given=given, person=person, at=at)

"""The gates: who may see or do what, where. The only way a view obtains a row.

A row of another location is not found (404), so that its existence is not
revealed; a row of one's own location with the wrong role is refused (403) with the
reason. Rights are read from the database at every request.
"""

from typing import Any, TypeVar, cast

from django.core.exceptions import (
    ObjectDoesNotExist,
    PermissionDenied,
    ValidationError,
)
from django.db import connection
from django.db.models import F, Model, QuerySet
from django.http import Http404, HttpRequest

from inventory.models import (
    Account,
    AccountNumber,
    Assignment,
    BalanceAssertion,
    CarriedCheck,
    Crate,
    CrateReturn,
    CreditMemo,
    Delivery,
    Deposit,
    DockPhone,
    Entry,
    Event,
    Evidence,
    ExchangeRate,
    ExpectedDelivery,
    Handover,
    Hold,
    Location,
    MemoLine,
    OutgoingMail,
    PackagingHold,
    PeriodLock,
    PhotoMarkup,
    Reading,
    ReturnCosts,
    ReturnLine,
    SentDocument,
    Shipment,
    ShortCredit,
    SuspenseLine,
    Unit,
    User,
)
from inventory.rules.core import roles
from inventory.rules.core.registry import Registry

Row = TypeVar("Row", bound=Model)

_OWN: dict[type[Model], str] = {
    Location: "pk",
    Delivery: "location_id",
    Shipment: "location_id",
    Evidence: "location_id",
    Event: "location_id",
    PhotoMarkup: "evidence__location_id",
    Reading: "evidence__location_id",
    ExpectedDelivery: "location_id",
    Crate: "shipment__location_id",
    Unit: "shipment__location_id",
    Handover: "shipment__location_id",
    Hold: "unit__shipment__location_id",
    PackagingHold: "crate__shipment__location_id",
    Deposit: "location_id",
    Account: "location_id",
    AccountNumber: "location_id",
    Entry: "location_id",
    PeriodLock: "location_id",
    CarriedCheck: "location_id",
    ExchangeRate: "location_id",
    CrateReturn: "location_id",
    ReturnLine: "crate_return__location_id",
    ReturnCosts: "location_id",
    CreditMemo: "location_id",
    MemoLine: "memo__location_id",
    ShortCredit: "location_id",
    SuspenseLine: "location_id",
    BalanceAssertion: "location_id",
    SentDocument: "location_id",
    DockPhone: "location_id",
    OutgoingMail: "location_id",
}

location_paths: Registry[type[Model], str] = Registry("location paths", _OWN)
"""How each kind of row leads to its location; the floor above adds its own once."""


def person_of(request: HttpRequest) -> User:
    """Return the signed-in person; the middleware has refused everyone else."""
    if not isinstance(request.user, User):
        raise PermissionDenied("Sign in first. Nothing was changed.")
    return request.user


def roles_at(person: User, location_id: int) -> frozenset[str]:
    """Return the roles this person holds at this location."""
    return roles_of(person, Assignment.objects.filter(location_id=location_id))


def roles_of(person: User, rows: QuerySet[Assignment] | None = None) -> frozenset[str]:
    """Return the roles this person holds anywhere, or by these assignments."""
    mine = (Assignment.objects.all() if rows is None else rows).filter(person=person)
    held = frozenset(mine.order_by().values_list("role", flat=True))
    return held | {roles.ADMINISTRATOR} if person.is_administrator else held


def locations_of(person: User, act: str = "see") -> QuerySet[Location]:
    """Return the locations at which this person may do the act, by name."""
    allowed = roles.ACTS[act]
    if person.is_administrator and roles.ADMINISTRATOR in allowed:
        return Location.objects.order_by("name")
    ids = Assignment.objects.filter(person=person, role__in=allowed)
    return Location.objects.filter(pk__in=ids.values("location_id")).order_by("name")


def scoped(rows: QuerySet[Row], person: User, act: str = "see") -> QuerySet[Row]:
    """Keep only the rows of the locations at which this person may do the act."""
    path = location_paths[rows.model]
    here = locations_of(person, act).order_by().values("pk")
    return rows.filter(**{f"{path}__in": here})


def location_id_of(row: Model) -> int | None:
    """Return the location of this row; None for one that belongs to no location."""
    return _location_id(row) if type(row) in location_paths else None


def _location_id(row: Model) -> int:
    value: Any = row
    for step in location_paths[type(row)].split("__"):
        value = getattr(value, step)
    return int(value)


def scoped_in_order(
    rows: QuerySet[Row], person: User, act: str = "see"
) -> QuerySet[Row]:
    """Keep the same rows as ``scoped``, for a long list that is read by its order or keys.

    SQLite would gather every row of the locations and sort them; told nothing of the
    index on the location, it follows the order's index and stops at the page's end. Of
    some thousand keys too it would rather try each bill of the location.
    """
    if connection.vendor != "sqlite":
        return scoped(rows, person, act)
    here = locations_of(person, act).order_by().values("pk")
    place = F(location_paths[rows.model]) + 0
    return cast("QuerySet[Row]", rows.alias(place=place).filter(place__in=here))


def obtain(rows: QuerySet[Row], person: User, key: object, act: str) -> Row:
    """Return the row with this key if the person may do the act on it.

    Raises Http404 for a row that is not at one of the person's locations, and
    PermissionDenied with the reason for the wrong role.
    """
    try:
        row = scoped(rows, person).get(pk=key)
    except (ObjectDoesNotExist, ValueError, OverflowError, ValidationError) as error:
        raise Http404 from error
    require(person, _location_id(row), act)
    return row


def require(person: User, location_id: int, act: str) -> None:
    """Raise PermissionDenied with the reason unless the act is allowed here."""
    verdict = roles.decide(roles_at(person, location_id), act)
    if not verdict.allowed:
        raise PermissionDenied(verdict.reason)


def require_somewhere(person: User, act: str) -> None:
    """Raise PermissionDenied with the reason unless the act is allowed anywhere."""
    held = roles_of(person)
    if not held:
        raise PermissionDenied(
            f"You have no role yet. Nothing was changed. {helpers()}"
        )
    verdict = roles.decide(held, act)
    if not verdict.allowed:
        raise PermissionDenied(verdict.reason)


def administrators() -> QuerySet[User]:
    """Return who can give a role, by name."""
    rows = User.objects.filter(is_administrator=True, is_active=True)
    return rows.order_by("full_name", "pk")


def helpers() -> str:
    """Return the sentence that says who can give a role."""
    names = " or ".join(str(one) for one in administrators()[:3])
    return f"{names or 'Your administrator'} can give you one."


def may(person: User, location_id: int, act: str) -> bool:
    """Say whether the act is allowed here; for what a page offers."""
    return roles.decide(roles_at(person, location_id), act).allowed


def who_may(act: str, location_id: int) -> list[User]:
    """Return who may do the act here, by name: whom to ask where one may not."""
    held = Assignment.objects.filter(
        location=location_id, role__in=roles.ACTS[act], person__is_active=True
    )
    people = User.objects.filter(pk__in=held.values("person_id"))
    return list(people.order_by("full_name", "pk"))


def require_administrator(person: User) -> None:
    """Raise PermissionDenied unless the person keeps people and locations."""
    if not person.is_administrator:
        raise PermissionDenied(
            "People and locations are kept by the administrator. Nothing was changed."
        )

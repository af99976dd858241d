"""People, their roles at each location, and the locations."""

from datetime import datetime

from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.people.passwords import refuse_weak
from inventory.models import Assignment, Location, User
from inventory.rules.core.changes import changed_words

_NAME_TAKEN = "That sign-in name is already in use. Nothing was saved. Choose another."
_PLACE_TAKEN = "A location already has that name or code. Nothing was saved."

Roles = set[tuple[int, str]]
"""Pairs of a location's key and a role."""


def add_person(
    *,
    person: User | None,
    at: datetime,
    username: str,
    full_name: str,
    password: str | None,
    is_administrator: bool,
    assigned: Roles,
    phone: str = "",
    email: str = "",
) -> User:
    """Add someone who can sign in, or who will once they are given a password.

    Raise RefusedError with every reason.
    """
    new = User(
        username=username,
        full_name=full_name,
        is_administrator=is_administrator,
        phone=phone,
        email=email,
    )
    if password is not None:
        refuse_weak(new, password)
    new.set_password(password)
    try:
        with transaction.atomic():
            new.save(force_insert=True)
            _assign(new, assigned)
            record_event(
                kind="person.added",
                at=at,
                actor=person,
                location=None,
                subjects=[new],
                data={"name": str(new)},
            )
            return new
    except IntegrityError as error:
        raise RefusedError(_NAME_TAKEN) from error


def give_first_password(
    *, person: User, at: datetime, who: User, version: int, password: str
) -> None:
    """Give a first password to someone who was added without one.

    Raise RefusedError with every reason, and StaleRowError.
    """
    with transaction.atomic():
        row = User.objects.select_for_update().get(pk=who.pk)
        if row.has_usable_password():
            raise RefusedError(
                f"{row} has a password already. Nothing was saved. They change it "
                "themselves after signing in."
            )
        refuse_weak(row, password)
        fresh = User()
        fresh.set_password(password)
        change_row(row, version=version, password=fresh.password)
        record_event(
            kind="person.started",
            at=at,
            actor=person,
            location=None,
            subjects=[row],
            data={"name": str(row)},
        )


def change_person(
    *,
    person: User,
    at: datetime,
    who: User,
    version: int,
    full_name: str,
    is_administrator: bool,
    is_active: bool,
    assigned: Roles,
    phone: str = "",
    email: str | None = None,
) -> None:
    """Change someone's name, phone, email, roles or sign-in; end their open sessions.

    Raise RefusedError for removing one's own administrator right or sign-in, and
    StaleRowError.
    """
    if who.pk == person.pk and not (is_administrator and is_active):
        raise RefusedError(
            "You cannot remove your own administrator right. Nothing was saved. Ask "
            "another administrator."
        )
    with transaction.atomic():
        changed = change_row(
            who,
            version=version,
            full_name=full_name,
            is_administrator=is_administrator,
            is_active=is_active,
            phone=phone,
            email=who.email if email is None else email,
        )
        if _assign(who, assigned):
            changed.append("roles")
        record_event(
            kind="person.changed",
            at=at,
            actor=person,
            location=None,
            subjects=[who],
            data={
                "name": str(who),
                "changed": changed_words(changed),
            },
        )


def add_location(*, person: User | None, at: datetime, **fields: object) -> Location:
    """Add a location. Raise RefusedError when its name or code is taken."""
    try:
        with transaction.atomic():
            location = Location(**fields)
            location.save(force_insert=True)
            record_event(
                kind="location.added",
                at=at,
                actor=person,
                location=location,
                subjects=[location],
                data={"name": location.name},
            )
            return location
    except IntegrityError as error:
        raise RefusedError(_PLACE_TAKEN) from error


def change_location(
    *, person: User, at: datetime, location: Location, version: int, **fields: object
) -> None:
    """Change a location. Raise StaleRowError and RefusedError."""
    with transaction.atomic():
        changed = change_row(location, version=version, **fields)
        record_event(
            kind="location.changed",
            at=at,
            actor=person,
            location=location,
            subjects=[location],
            data={
                "name": location.name,
                "changed": changed_words(changed),
            },
        )


def _assign(who: User, assigned: Roles) -> bool:
    before = set(who.assignments.values_list("location_id", "role"))
    if before == assigned:
        return False
    who.assignments.all().delete()
    Assignment.objects.bulk_create(
        Assignment(person=who, location_id=place, role=role)
        for place, role in sorted(assigned)
    )
    return True

"""People, places and partners that were changed, and what else the demo lacks."""

from datetime import timedelta
from uuid import UUID

from inventory.actions.core.once import Answer, Sending, save_once
from inventory.actions.crates.types import PartListed, change_crate_type
from inventory.actions.people.dock_phones import (
    add_phone,
    end_phone,
    remove_pin,
    set_pin,
)
from inventory.actions.people.legal_holds import lift_hold, place_hold
from inventory.actions.people.partners import (
    Period,
    add_supplier,
    change_carrier,
    change_supplier,
)
from inventory.actions.people.passkeys import add_passkey, remove_passkey
from inventory.actions.people.password_links import make_link, set_by_link
from inventory.actions.people.passwords import change_password, store_anew
from inventory.actions.people.people import add_person, change_location, change_person
from inventory.actions.people.second_factors import (
    add_factor,
    is_right_code,
    new_secret,
    remove_factor,
    renew_codes,
)
from inventory.actions.receiving.deliveries import change_delivery
from inventory.actions.receiving.handovers import count_handover
from inventory.actions.receiving.listed_crates import list_crates
from inventory.actions.receiving.units import change_unit
from inventory.models import Delivery, Passkey, Unit
from inventory.rules.core.one_time_codes import code_at, step_at


def tell_more_people(t):
    """Change every kind of row that can be changed."""
    _people(t)
    _legal_holds(t)
    _partners(t)
    _dock(t)
    _sent_twice(t)


def _people(t):
    ada = t.cast.people["ada"]
    at = t.moment(t.ago(100), 9)
    gone = add_person(
        person=ada,
        at=at,
        username="orrin",
        full_name="Orrin Slate",
        password="kraft-and-stencil",
        is_administrator=False,
        assigned={(t.location.pk, "clerk")},
    )
    change_password(
        person=gone, at=t.moment(t.ago(90), 9), password="stencil-and-lantern"
    )
    link = make_link(person=ada, at=t.moment(t.ago(85), 9), who=gone)
    set_by_link(
        who=gone,
        at=t.moment(t.ago(85), 10),
        token=link.rstrip("/").rpartition("/")[2],
        password="lantern-and-stencil",
    )
    _second_step(t, gone)
    _dock_phones(t, gone)
    _passkeys(t, gone)
    gone.refresh_from_db()
    store_anew(person=gone, at=t.moment(t.ago(80), 9), password="lantern-and-stencil")
    gone.refresh_from_db()
    change_person(
        person=ada,
        at=t.moment(t.ago(50), 9),
        who=gone,
        version=gone.version,
        full_name="Orrin Slate",
        is_administrator=False,
        is_active=False,
        phone="402 555 0188",
        assigned=set(),
    )
    ferry = t.cast.ferry
    ferry.refresh_from_db()
    change_location(
        person=ada,
        at=t.moment(t.ago(40), 9),
        location=ferry,
        version=ferry.version,
        paper="a4",
        write_off_limit_cents=5_000,
    )


def _second_step(t, person):
    """Turn it on, lose the phone, make new codes; then it is turned off. Ada's stays."""
    ada = t.cast.people["ada"]
    for who in (ada, person):
        at, secret = t.moment(t.ago(83), 9), new_secret()
        code = code_at(secret, step_at(int(at.timestamp())))
        codes = add_factor(person=who, at=at, secret=secret, code=code)
        assert is_right_code(person=who, at=t.moment(t.ago(83), 10), code=codes[0])
        renew_codes(person=who, at=t.moment(t.ago(83), 11))
    remove_factor(person=ada, at=t.moment(t.ago(82), 9), who=person)


def _dock_phones(t, person):
    """Two shared phones, one of them ended; a PIN that stays and one that goes."""
    ada, at = t.cast.people["ada"], t.moment(t.ago(79), 9)
    about = {"person": ada, "at": at, "location": t.location}
    add_phone(name="Yellow phone", **about)
    gone, _ = add_phone(name="Old phone", **about)
    end_phone(person=ada, at=t.moment(t.ago(78), 9), phone=gone)
    for who in (person, t.clerk):
        set_pin(person=who, at=at, pin="408153")
    remove_pin(person=person, at=t.moment(t.ago(78), 9))


def _passkeys(t, person):
    """Two passkeys, one of them removed. No device of theirs is real."""
    about = {"person": person, "at": t.moment(t.ago(77), 9), "count": 0}
    for name in ("Blue stick", "Old phone"):
        key = name.lower().replace(" ", "-")
        add_passkey(name=name, key_id=key, credential=key.encode(), **about)
    last = Passkey.objects.filter(person=person).last()
    remove_passkey(person=person, at=t.moment(t.ago(76), 9), key=last.pk)


def _legal_holds(t):
    """Two holds, one of them lifted."""
    ada, at = t.cast.people["ada"], t.moment(t.ago(45), 9)
    about = {"person": ada, "at": at, "reason": "Counsel asked for it."}
    place_hold(matter="Marsh v. Quill", **about)
    lifted = place_hold(matter="The lost trailer", **about)
    lift_hold(
        person=ada, at=t.moment(t.ago(44), 9), hold=lifted, reason="It was settled."
    )


def _partners(t):
    about = {"person": t.manager, "at": t.moment(t.ago(30), 9)}
    sedge, thistle = t.cast.carriers["sedge"], t.cast.suppliers["thistle"]
    change_carrier(
        carrier=sedge,
        version=sedge.version,
        periods=[Period("claim", 9, "months", "delivery", "Its tariff 4, item 12")],
        claims_phone="402 555 0199",
        **about,
    )
    change_supplier(
        supplier=thistle,
        version=thistle.version,
        periods=[
            Period("damage", 10, "days", "discovery"),
            Period("wrong", 30, "days", "invoice"),
        ],
        crate_terms="Racks back within 45 days.",
        **about,
    )
    rack = t.cast.crate_types["thistle"]
    rack.refresh_from_db()
    change_crate_type(
        crate_type=rack,
        version=rack.version,
        parts=[PartListed("upright", 4), PartListed("cross bar", 6)],
        most_stacked=5,
        **about,
    )


def _dock(t):
    """Correct the truck at the dock, its count, its crates and a machine."""
    truck = Delivery.objects.filter(location=t.location, signed_at=None).order_by("pk")
    row = truck[0]
    at = t.now - timedelta(minutes=10)
    about = {"person": t.clerk, "at": at}
    change_delivery(
        delivery=row,
        version=row.version,
        carrier=row.carrier,
        arrived_at=row.arrived_at,
        driver_name="Lou Garrity",
        trailer_number="GN53241",
        **about,
    )
    handover = row.handovers.order_by("pk")[0]
    count_handover(
        handover=handover,
        version=handover.version,
        pieces_counted=3,
        rest_to_follow=True,
        **about,
    )
    list_crates(
        shipment=handover.shipment, delivery=row, count=1, kind="one-way", **about
    )
    unit = Unit.objects.filter(shipment__location=t.location).latest("pk")
    change_unit(
        unit=unit,
        version=unit.version,
        crate=unit.crate,
        serial=unit.serial,
        invoice_cents=460_000,
        **about,
    )


def _sent_twice(t):
    """Save a supplier by a form that a phone sends a second time."""
    at = t.moment(t.ago(20), 9)
    sending = Sending(
        client_id=UUID("5b1f8a52-7f0e-4a54-9c52-0d2f6c1e7a10"),
        person=t.manager,
        act="inventory:add_supplier",
        body={"name": "Bramble Pack & Crate"},
    )

    def make():
        row = add_supplier(person=t.manager, at=at, periods=[], **sending.body)
        page = f"/suppliers/{row.pk}/edit/"
        return Answer.about(row, message=f"{row} is added.", page=page)

    assert save_once(sending, at=at, make=make) == save_once(sending, at=at, make=make)

"""The bench reads keys first: its lists are those of one query that joins every row."""

from datetime import timedelta
from random import Random
from unittest import mock

import pytest
from django.db.models import Exists, F, OuterRef, Q

from claims.models import Inspection, Setup, SignOff
from claims.queries.bench import desk
from claims.queries.bench.desk import bench_desk
from claims.queries.bench.releases import set_up_before
from claims.queries.bench.setup_progress import progress_of
from claims.queries.bench.unopened import unopened_crates
from inventory.access import scoped
from inventory.models import Crate, Handover, Hold, Unit
from inventory.models.deliveries import CLOSED
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.sizes import cases

pytestmark = pytest.mark.django_db

TODAY = ARRIVED.date()
FEW = 4
"""How many rows of a list are shown here, so that the lists are cut."""


class House:
    """Machines drawn by a seed: in and out of crates, held, begun, released."""

    def __init__(self, seed):
        self.draw = Random(seed)
        self.who = cast()
        self.setup_list = making.make_setup_list()
        places = (self.who.riverside, self.who.riverside, self.who.hillcrest)
        for number in range(9):
            self._bill(places[number % 3])

    def _some(self, odds=0.5):
        return self.draw.random() < odds

    def _person(self):
        return self.draw.choice((self.who.tomas, self.who.tomas, self.who.mina))

    def _bill(self, place):
        bill = making.make_shipment(location=place)
        signed = self.draw.choice((None, "truck", "bill"))
        make = (
            making.make_signed_delivery if signed == "truck" else making.make_delivery
        )
        truck = make(location=place)
        closed = {"how_signed": "signed", "signed_at": ARRIVED}
        more = closed | {"signed_by": self.who.rosa} if signed == "bill" else {}
        making.make_handover(truck, bill, **more)
        for _ in range(5):
            self._machine(bill, truck)

    def _machine(self, bill, truck):
        crate = None
        if self._some(0.8):
            opened = self._some(0.8)
            on = ARRIVED + timedelta(hours=self.draw.randint(1, 4))
            crate = making.make_crate(
                bill,
                delivery=truck,
                opened_at=on if opened else None,
                opened_on=on.date() if opened else None,
            )
        unit = making.make_unit(bill, crate=crate)
        while self._some(0.4):
            making.make_inspection(
                unit=unit,
                stage=self.draw.choice(("uncrating", "set-up")),
                note=self.draw.choice(("", "All right.")),
                looked_by=self._person(),
            )
        if self._some(0.4):
            setup = making.make_setup(
                unit, setup_list=self.setup_list, begun_by=self._person()
            )
            if self._some():
                making.make_setup_reading(setup, taken_by=self._person())
            if self._some(0.2):
                making.make_sign_off(unit, setup=setup)
        if self._some(0.35):
            at = ARRIVED + timedelta(days=self.draw.randint(0, 3))
            gone = {"released_at": at, "released_how": "waived"} if self._some() else {}
            making.make_hold(unit, placed_at=at, placed_by=self._person(), **gone)


def plain_units(person):
    """Return what is out of its crate and not released, as one query read it."""
    own = OuterRef("pk")
    rows = scoped(Unit.objects.all(), person).annotate(
        is_signed_off=Exists(SignOff.objects.filter(unit=own)),
        is_begun=Exists(Setup.objects.filter(unit=own)),
        was_set_up=Exists(set_up_before().filter(unit=own)),
        was_uncrated=Exists(Inspection.objects.filter(unit=own, stage="uncrating")),
        is_held=Exists(Hold.objects.filter(unit=own, released_at=None)),
        has_come=Exists(Handover.objects.filter(CLOSED, shipment=OuterRef("shipment"))),
    )
    return list(
        rows.exclude(Q(is_signed_off=True) | Q(is_begun=False, was_set_up=True))
        .filter(Q(crate=None) | Q(crate__opened_at__isnull=False), has_come=True)
        .exclude(Q(was_uncrated=True) | Q(is_begun=True), is_held=True)
        .order_by(F("crate__opened_at").asc(nulls_first=True), "pk")
    )


def plain_holds(person):
    rows = scoped(Hold.objects.filter(released_at=None), person)
    return list(rows.order_by("placed_at", "pk"))


def handled(person, unit):
    setups = Setup.objects.filter(unit=unit)
    return (
        setups.filter(begun_by=person).exists()
        or setups.filter(readings__taken_by=person).exists()
        or Inspection.objects.filter(unit=unit, looked_by=person).exists()
    )


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(cases(4, 30)))
def test_the_lists_are_those_of_the_whole_rows(seed):
    who = House(seed).who
    for person in (who.tomas, who.mina, who.nell):
        units, holds = plain_units(person), plain_holds(person)
        progress = progress_of(units)
        mine = [unit for unit in units if handled(person, unit)]
        others = [unit for unit in units if unit not in mine]
        mine.sort(key=lambda unit: progress.get(unit.pk) is None)
        my_holds = [hold for hold in holds if hold.placed_by == person]
        with mock.patch.object(desk, "LONGEST", FEW):
            found = bench_desk(person, TODAY)
        assert [row.unit for row in found.yours] == mine[:FEW]
        assert [row.unit for row in found.waiting] == others[:FEW]
        assert found.your_machines == len(mine)
        assert found.waiting_count == len(others) + len(found.unlisted)
        assert (found.your_holds, found.holds) == (my_holds[:FEW], holds[:FEW])
        assert found.your_count == len(mine) + len(my_holds)
        assert found.hold_count == len(holds)
        for row in (*found.yours, *found.waiting):
            looked = Inspection.objects.filter(unit=row.unit, stage="uncrating")
            is_next = looked.exists() or row.unit.pk in progress
            assert row.stage == ("set-up" if is_next else "uncrating")
            assert row.progress == progress.get(row.unit.pk)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(cases(4, 30)))
def test_closed_crates_are_those_of_one_query_that_joins_every_row(seed):
    who = House(seed).who
    bill = Handover.objects.filter(
        CLOSED, delivery=OuterRef("delivery"), shipment=OuterRef("shipment")
    )
    rows = Crate.objects.filter(
        Q(delivery__signed_at__isnull=False) | Q(Exists(bill)),
        opened_at=None,
        is_over=False,
    ).exclude(look="refused")
    for person in (who.tomas, who.nell):
        plain = {row.pk: row for row in scoped(rows, person)}
        found = unopened_crates(person, TODAY)
        assert {one.crate.pk for one in found} == set(plain)
        for one in found:
            row = plain[one.crate.pk]
            assert one.arrived_on == row.delivery.arrived_on
            assert one.location_name == row.shipment.location.name
            assert one.supplier_name == row.shipment.supplier.name
            units = list(row.units.order_by("pk"))
            assert one.machines == tuple(map(str, units))
            assert (str(one.crate), one.crate.number) == (str(row), row.number)

"""A crate moves through its life by its acts alone, and each leaves its trace."""

import json
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.crates.checks import PartChecked, check_crate
from inventory.actions.crates.life import (
    dispose_crate,
    empty_crate,
    move_crate,
    scrap_crate,
    set_crate_type,
)
from inventory.actions.receiving.crates import change_crate
from inventory.models import CrateCheck, Event, EventSubject
from tests import making
from tests.people import cast

pytestmark = pytest.mark.database

AT = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)


def last_event():
    return Event.objects.order_by("-sequence").first()


class TestCrateLife(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)
        cls.crate = making.make_reusable(cls.shipment)
        cls.panel, cls.lid = cls.crate.crate_type.parts.order_by("pk")

    def act(self):
        return {"person": self.who.tomas, "at": AT}

    def check(self, *found, **over):
        return check_crate(**self.act(), crate=self.crate, found=found, **over)

    def state(self):
        self.crate.refresh_from_db()
        return self.crate.state

    def test_the_whole_way_home(self):
        full = making.make_reusable(self.shipment, state="full", opened_at=AT)
        empty_crate(**self.act(), crate=full)
        check_crate(**self.act(), crate=full, found=())
        for act in ("stage", "ship", "credit"):
            move_crate(crate=full, act=act, **self.act())
        full.refresh_from_db()
        assert full.state == "credited"
        kinds = EventSubject.objects.filter(noun="crate", key=str(full.pk))
        assert list(
            kinds.order_by("event_id").values_list("event__kind", flat=True)
        ) == [
            "crate.emptied",
            "crate.checked",
            "crate.staged",
            "crate.shipped",
            "crate.credited",
        ]

    def test_a_closed_crate_is_not_emptied(self):
        closed = making.make_reusable(self.shipment, state="full")
        with pytest.raises(RefusedError, match="has not been opened"):
            empty_crate(**self.act(), crate=closed)

    def test_a_check_keeps_what_was_found_of_each_part(self):
        check = self.check(PartChecked(self.panel.pk, missing=1, damaged=2))
        assert check.result == "incomplete"
        assert self.state() == "incomplete"
        lines = check.lines.order_by("pk").values_list("part_id", "missing", "damaged")
        assert list(lines) == [(self.panel.pk, 1, 2), (self.lid.pk, 0, 0)]
        assert last_event().kind == "crate.checked"
        assert (
            last_event().data["result"] == "1 side panel missing, 2 side panel damaged"
        )

    def test_a_second_check_leaves_the_first_as_it_was(self):
        first = self.check(PartChecked(self.panel.pk, missing=1))
        self.check()
        assert self.state() == "complete"
        assert CrateCheck.objects.get(pk=first.pk).result == "incomplete"
        with pytest.raises(IntegrityError), transaction.atomic():
            CrateCheck.objects.filter(pk=first.pk).update(result="complete")

    def test_more_than_there_should_be_is_refused_and_nothing_is_kept(self):
        with pytest.raises(
            RefusedError, match="4 required, but 3 missing and 2 damaged"
        ):
            self.check(PartChecked(self.panel.pk, missing=3, damaged=2))
        assert not CrateCheck.objects.exists()
        assert self.state() == "emptied"

    def test_a_part_of_another_type_is_refused(self):
        other = making.make_crate_type(self.shipment.supplier).parts.first()
        with pytest.raises(RefusedError, match="parts list was changed"):
            self.check(PartChecked(other.pk, missing=1))

    def test_a_crate_of_no_known_type_is_not_checked(self):
        bare = making.make_reusable(self.shipment, crate_type=None)
        with pytest.raises(RefusedError, match="crate's type first"):
            check_crate(**self.act(), crate=bare, found=())

    def test_a_stale_page_changes_nothing(self):
        move_crate(crate=self.crate, act="retype", **self.act())
        with pytest.raises(StaleRowError):
            self.check(version=self.crate.version)
        assert not CrateCheck.objects.exists()

    def test_taken_off_a_return_it_is_what_the_check_said(self):
        self.check(PartChecked(self.lid.pk, damaged=1))
        move_crate(crate=self.crate, act="stage", **self.act())
        move_crate(
            crate=self.crate, act="unstage", data={"reason": "No room."}, **self.act()
        )
        assert self.state() == "damaged"
        assert last_event().data["reason"] == "No room."

    def test_a_held_crate_is_neither_checked_nor_staged_nor_scrapped(self):
        making.make_packaging_hold(self.crate)
        with pytest.raises(RefusedError, match="packaging is on hold"):
            self.check()
        with pytest.raises(RefusedError, match="packaging is on hold"):
            scrap_crate(**self.act(), crate=self.crate, reason="Rotten")
        assert self.state() == "emptied"
        assert not CrateCheck.objects.exists()

    def test_a_released_hold_stops_nothing(self):
        making.make_packaging_hold(
            self.crate,
            released_at=AT,
            released_on=AT.date(),
            released_how="inspected",
        )
        self.check()
        assert self.state() == "complete"

    def test_scrapping_wants_a_reason(self):
        with pytest.raises(RefusedError, match="Enter why"):
            scrap_crate(**self.act(), crate=self.crate, reason=" ")
        scrap_crate(**self.act(), crate=self.crate, reason="Base rotten through.")
        assert self.state() == "scrapped"
        assert last_event().data["reason"] == "Base rotten through."

    def test_put_back_after_a_mistake_it_is_what_it_was(self):
        self.check(PartChecked(self.lid.pk, missing=1))
        scrap_crate(**self.act(), crate=self.crate, reason="Wrong crate.")
        move_crate(crate=self.crate, act="reinstate", **self.act())
        assert self.state() == "incomplete"

    def test_a_type_given_after_a_check_asks_for_a_new_one(self):
        self.check()
        other = making.make_crate_type(self.shipment.supplier)
        set_crate_type(**self.act(), crate=self.crate, crate_type=other)
        assert self.state() == "emptied"
        assert self.crate.crate_type == other
        assert last_event().data["type"] == other.name

    def test_a_type_of_another_supplier_is_refused(self):
        with pytest.raises(RefusedError, match="another supplier"):
            set_crate_type(
                **self.act(), crate=self.crate, crate_type=making.make_crate_type()
            )

    def test_a_shipped_crate_is_refused_with_where_it_is(self):
        self.check()
        for act in ("stage", "ship"):
            move_crate(crate=self.crate, act=act, **self.act())
        with pytest.raises(RefusedError, match="credit is still open"):
            self.check()

    def test_the_event_seals_the_state(self):
        self.check()
        rows = {noun for noun, _key, _image in rows_of(last_event())}
        assert "crate" in rows


class TestDisposal(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)

    def dispose(self, crate):
        return dispose_crate(
            person=self.who.tomas, at=AT, crate=crate, how="recycled-wood"
        )

    def test_a_one_way_crate_gets_its_record_once(self):
        crate = making.make_crate(self.shipment, opened_at=AT, opened_on=AT.date())
        assert self.dispose(crate).disposal == "recycled-wood"
        assert last_event().data["how"] == "wood recycled"
        with pytest.raises(RefusedError, match="already disposed of"):
            self.dispose(crate)

    def test_a_held_one_way_crate_stays(self):
        crate = making.make_crate(self.shipment, opened_at=AT, opened_on=AT.date())
        making.make_packaging_hold(crate)
        with pytest.raises(RefusedError, match="on hold"):
            self.dispose(crate)

    def test_a_closed_one_stays(self):
        with pytest.raises(RefusedError, match="has not been opened"):
            self.dispose(making.make_crate(self.shipment))


def rows_of(event):
    return json.loads(event.body)["rows"]


class TestKind(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)

    def change(self, crate, kind):
        change_crate(
            person=self.who.rosa,
            at=AT,
            crate=crate,
            version=crate.version,
            mark=crate.mark,
            kind=kind,
            deposit_cents=None,
        )
        crate.refresh_from_db()
        return crate.state

    def test_a_reusable_crate_starts_its_life_and_a_one_way_one_has_none(self):
        crate = making.make_crate(self.shipment)
        assert self.change(crate, "reusable") == "full"
        assert self.change(crate, "one-way") == ""

    def test_a_refused_crate_has_no_life_of_either_kind(self):
        crate = making.make_crate(self.shipment, look="refused")
        assert self.change(crate, "reusable") == ""

    def test_a_shipped_crate_keeps_its_kind(self):
        crate = making.make_reusable(self.shipment, state="shipped")
        with pytest.raises(RefusedError, match="credit is still open"):
            self.change(crate, "one-way")

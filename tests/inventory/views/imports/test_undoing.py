"""Undoing an import: everything is retired, or nothing; what is used stays."""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.urls import reverse

from inventory.actions.ledger.periods import lock_period
from inventory.models import (
    Carrier,
    CrateTerms,
    CrateType,
    Deposit,
    Entry,
    Event,
    ListImport,
    Unit,
    User,
)
from inventory.queries.deposits.facts import terms_for
from tests.inventory.views.imports.lists import ListCase, csv_rows
from tests.making import (
    make_carrier,
    make_list_import,
    make_shipment,
    make_supplier,
)

pytestmark = pytest.mark.database

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def make_deposit_on(terms, who):
    return Deposit.objects.create(
        location=who.riverside,
        supplier=terms.supplier,
        terms=terms,
        invoice_number="TT-1",
        line_number=1,
        invoiced_on=date(2026, 2, 1),
        mark="A-1",
        amount_cents=6_000,
        currency="USD",
        charged_at=NOON,
        charged_by=who.abel,
    )


def assert_offered_nowhere(case, carrier):
    """A retired carrier is on no list and in no choice, and its page is gone."""
    case.client.force_login(case.who.rosa)
    for name in ("log_delivery", "add_expected"):
        page = case.client.get(reverse(name))
        case.assertNotContains(page, carrier.name)
    case.client.force_login(case.who.ada)
    case.assertNotContains(case.client.get(reverse("carriers")), carrier.name)
    gone = case.client.get(reverse("edit_carrier", args=[carrier.pk]))
    assert gone.status_code == 404


class UndoCase(ListCase):
    def bring(self, *rows, kind="carriers"):
        preview = self.load(csv_rows(*rows), kind)
        assert {state for _, _, state in self.fates(preview)} == {"new"}
        self.take(preview, kind)
        return ListImport.objects.first()

    def undo(self, row, **over):
        data = {"version": row.version, "reason": "The wrong list"}
        return self.client.post(reverse("undo_list_import", args=[row.pk]), data | over)


class TestUndo(UndoCase):
    def test_unused_rows_are_retired_and_the_import_names_them(self):
        row = self.bring(["Name"], ["Heron Haulage"], ["Gannet"])
        answer = self.undo(row)

        self.assertRedirects(answer, reverse("list_import", args=[row.pk]))
        assert not Carrier.objects.exists()
        kept = Carrier.everything.get(name="Gannet")
        assert kept.withdrawn_by == self.who.ada
        assert kept.withdrawn_reason == "Retired by import undo: The wrong list"
        assert_offered_nowhere(self, kept)
        page = self.client.get(answer["Location"])
        self.assertContains(page, "Retired by import undo", count=2)
        self.assertContains(page, "The wrong list")
        self.assertContains(page, "Heron Haulage")
        assert Event.objects.get(kind="list.undone").data["count"] == 2

    def test_the_file_may_come_again_after_an_undo(self):
        self.undo(self.bring(["Name"], ["Heron Haulage"]))
        self.bring(["Name"], ["Heron Haulage"])

        assert (Carrier.objects.count(), ListImport.objects.count()) == (1, 2)
        assert Carrier.everything.filter(name="Heron Haulage").count() == 2

    def test_it_is_refused_once_a_row_is_used_and_names_the_first_use(self):
        row = self.bring(["Name"], ["Heron Haulage"], ["Gannet"])
        make_shipment(
            carrier=Carrier.objects.get(name="Gannet"),
            location=self.who.riverside,
            pro_number="4471",
        )
        answer = self.undo(row)

        said = "Row 3, Gannet, is used by freight bill “PRO 4471”."
        self.assertContains(answer, said, status_code=422)
        self.assertContains(
            self.client.get(reverse("list_import", args=[row.pk])), said
        )
        assert Carrier.objects.count() == 2

    def test_it_is_refused_once_a_row_was_changed(self):
        row = self.bring(["Name"], ["Heron Haulage"])
        Carrier.objects.update(version=2)

        self.assertContains(self.undo(row), "was changed since", status_code=422)

    def test_a_second_undo_and_one_without_a_reason_change_nothing(self):
        row = self.bring(["Name"], ["Heron Haulage"])
        assert self.undo(row, reason="").status_code == 422
        assert Carrier.objects.count() == 1
        self.undo(row)
        self.assertContains(self.undo(row), "undone already", status_code=422)
        assert Event.objects.filter(kind="list.undone").count() == 1

    def test_people_leave_with_their_roles_unless_they_signed_in(self):
        head = ["Full name", "Sign-in name", "Location", "Roles"]
        one = ["Ines Farrow", "ines", "RIV", "Manager; Receiving clerk"]
        row = self.bring(head, one, kind="people")
        ines = User.objects.get(username="ines")
        assert not ines.has_usable_password()
        assert ines.assignments.count() == 2
        ines.last_login = row.made_at
        ines.save(update_fields=["last_login"])
        self.assertContains(self.undo(row), "has signed in already", status_code=422)

        User.objects.filter(pk=ines.pk).update(last_login=None)
        self.undo(row)
        assert not User.objects.filter(username="ines").exists()
        assert not User.objects.filter(pk=ines.pk).exists()
        self.assertNotContains(self.client.get(reverse("people")), "Ines Farrow")
        gone = User.everything.get(pk=ines.pk)
        assert (gone.is_active, gone.assignments.count()) == (False, 0)
        self.bring(head, one, kind="people")
        assert User.objects.get(username="ines").pk != ines.pk

    def test_crate_types_leave_the_supplier(self):
        make_supplier(name="Teal Tillage")
        head = ["Supplier", "Name", "Build", "Length", "Parts list"]
        parts = "Side panel: 4; Base: 1"
        one = ["teal tillage", "Wheel crate", "Steel frame", "96", parts]
        row = self.bring(head, one, kind="crate-types")
        made = CrateType.objects.get()
        assert made.length_mm == 2438
        listed = made.parts.values_list("name", "count")
        assert list(listed) == [("Side panel", 4), ("Base", 1)]
        self.undo(row)
        assert not CrateType.objects.exists()
        gone = CrateType.everything.get()
        assert not gone.supplier.crate_types.exists()
        assert str(gone) == "Wheel crate"
        self.bring(head, one, kind="crate-types")
        assert CrateType.objects.get().pk != gone.pk

    def test_what_is_wrong_in_a_parts_list_is_said(self):
        make_supplier(name="Teal Tillage")
        wrong = {
            "Base": "write each part with its number",
            "Base: two": "write each part with its number",
            "Base: 0": "Check the lines",
            "Base: 1; base: 2": "base is listed twice",
            "; ".join(f"P{n}: 1" for n in range(41)): "up to 40 parts",
        }
        for parts, said in wrong.items():
            with self.subTest(parts):
                rows = (
                    ["Supplier", "Name", "Parts list"],
                    ["Teal Tillage", "X", parts],
                )
                preview = self.load(csv_rows(*rows), "crate-types")
                assert said in self.reasons(preview)[2]

    HEAD = (
        "Supplier",
        "In force from",
        "Source",
        "Currency",
        "Deposits by crate type",
        "Full credit through day",
        "After that",
        "Steps",
        "No credit after day",
        "The last day is included",
    )

    def terms(self):
        supplier = make_supplier(name="Teal Tillage")
        for name in ("Wheel crate", "Skid crate"):
            CrateType.objects.create(supplier=supplier, name=name)
        rates = "wheel crate: 1,185.00; Skid crate: 60"
        one = ["Teal Tillage", "2026-01-01", "Page 2", "USD", rates, "60"]
        one += ["In steps", "60: 80; 90: 50", "120", "no"]
        return self.bring(self.HEAD, one, kind="crate-terms")

    def test_terms_are_retired_and_count_no_more(self):
        row = self.terms()
        terms = CrateTerms.objects.get()
        rates = terms.rates.order_by("deposit_cents")
        assert list(rates.values_list("deposit_cents", flat=True)) == [6_000, 118_500]
        steps = terms.steps.values_list("after_day", "percent")
        assert list(steps) == [(60, 80), (90, 50)]
        assert (terms.decline, terms.ends_day) == ("steps", 120)
        assert (terms.includes_last_day, terms.oldest_first) == (False, True)
        supplier = terms.supplier
        assert terms_for(supplier, date(2026, 2, 1)) == terms

        self.undo(row)
        assert terms_for(supplier, date(2026, 2, 1)) is None
        assert not supplier.terms.exists()
        kept = CrateTerms.everything.get()
        assert kept.retirement.reason == "Retired by import undo: The wrong list"

    def test_terms_of_a_deposit_stay(self):
        row = self.terms()
        make_deposit_on(CrateTerms.objects.get(), self.who)
        said = "is used by deposit “Deposit on A-1”"
        self.assertContains(self.undo(row), said, status_code=422)

    def test_what_is_wrong_in_terms_is_said(self):
        self.terms()
        good = ["Teal Tillage", "2026-02-01", "Page 3", "USD", "Wheel crate: 5", "60"]
        wrong = {
            "has no crate type “Lid”": [*good[:4], "Lid: 5", "60"],
            "after a colon": [*good[:4], "Wheel crate", "60"],
            "write Yes or No": [*good, "", "", "", "perhaps"],
            "Deposit of Wheel crate: That is not an amount": [
                *good[:4],
                "Wheel crate: five",
                "60",
            ],
            "Check the lines": [*good, "In steps", "60: all"],
            "There is no supplier": ["Nobody", *good[1:]],
        }
        for said, cells in wrong.items():
            with self.subTest(said):
                preview = self.load(csv_rows(self.HEAD, cells), "crate-terms")
                assert said in self.reasons(preview)[2]

    def test_another_locations_import_is_not_found(self):
        row = make_list_import(
            self.who.nell, kind="machines", location=self.who.hillcrest
        )
        self.client.force_login(self.who.mina)
        assert self.undo(row).status_code == 404
        self.client.force_login(self.who.nell)
        page = self.client.get(reverse("list_import", args=[row.pk]))
        assert page.status_code == 200


class TestMachines(UndoCase):
    sender = "mina"

    def test_they_are_taken_back(self):
        carrier = make_carrier(name="Heron Haulage")
        make_shipment(
            location=self.who.riverside, carrier=carrier, pro_number="88-104417"
        )
        self.more = {"location": self.who.riverside.pk}
        head = ["Carrier", "PRO number", "Model", "Serial"]
        one = ["Heron Haulage", "88104417", "Tiller 40", "tt40-0177"]
        row = self.bring(head, one, kind="machines")
        assert Unit.objects.get().serial == "TT40-0177"
        self.undo(row)
        assert not Unit.objects.exists()
        assert Unit.everything.get().withdrawn_reason.startswith("Retired by import")


@time_machine.travel("2026-05-04T15:00Z", tick=False)
class TestMoney(UndoCase):
    sender = "abel"
    kind = "opening-deposits"
    HEAD = (
        "Supplier",
        "Invoice number",
        "Invoice date",
        "Open as of",
        "Crates",
        "Deposit per crate",
        "Crate marks",
    )

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        make_supplier(name="Teal Tillage")

    def setUp(self):
        super().setUp()
        self.more = {"location": self.who.riverside.pk}

    def opened(self):
        rows = (
            ["Teal Tillage", "TT-1", "2026-01-12", "2026-02-28", "2", "185", "a1; a2"],
            ["Teal Tillage", "TT-2", "2026-01-19", "2026-02-28", "1", "60.50", ""],
        )
        return self.bring(self.HEAD, *rows, kind="opening-deposits")

    def cents(self):
        rows = Entry.objects.values_list("legs__account__kind", "legs__cents")
        totals = {}
        for kind, cents in rows:
            totals[kind] = totals.get(kind, 0) + cents
        return totals

    def test_they_are_posted_against_opening_balances(self):
        self.opened()
        # 2 x 185.00 + 60.50 = 430.50
        assert self.cents() == {
            "deposits-receivable": 43_050,
            "opening-balances": -43_050,
        }
        marks = Deposit.objects.order_by("pk").values_list("mark", "is_opening")
        assert list(marks) == [("A1", True), ("A2", True), ("", True)]

    def test_an_undo_reverses_every_entry(self):
        row = self.opened()
        self.undo(row)

        assert set(self.cents().values()) == {0}
        assert Entry.objects.filter(kind="reversal").count() == 3
        assert Deposit.objects.filter(is_withdrawn=True).count() == 3

    def test_the_same_invoice_line_is_there_already(self):
        self.opened()
        again = ["Teal Tillage", "tt-1", "2026-01-12", "2026-02-28", "2", "185", ""]
        preview = self.load(csv_rows(self.HEAD, again))
        assert [state for _, _, state in self.fates(preview)] == ["there"]

    def test_locked_books_refuse_the_undo_and_name_the_way(self):
        row = self.opened()
        lock_period(
            location=self.who.riverside,
            through=date(2026, 3, 31),
            person=self.who.abel,
            at=row.made_at,
        )
        self.assertContains(self.undo(row), "The books are locked", status_code=422)
        late = ["Teal Tillage", "TT-3", "2026-01-12", "2026-02-28", "1", "5", ""]
        preview = self.load(csv_rows(self.HEAD, late))
        assert "locked through" in self.reasons(preview)[2]

    def test_a_row_refused_at_the_last_moment_saves_none(self):
        preview = self.load(
            csv_rows(
                self.HEAD,
                ["Teal Tillage", "TT-8", "2026-01-12", "2026-02-28", "1", "5", ""],
                ["Teal Tillage", "TT-9", "2026-01-12", "2026-02-28", "2", "5", "x; y"],
            )
        )
        lock_period(
            location=self.who.riverside,
            through=date(2026, 3, 31),
            person=self.who.abel,
            at=NOON,
        )
        answer = self.take(preview)
        self.assertContains(answer, "Nothing was saved", status_code=422)
        assert not Deposit.objects.exists()

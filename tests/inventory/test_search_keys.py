"""The search keys follow every write, are filled for old houses, and are verified."""

from unittest import mock

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import TestCase

from claims.models import Claim
from config.checks import check_search, reasons_not_to_serve
from inventory import search_index, searched
from inventory.derived import differences
from inventory.models import Crate, SearchKey, Shipment, Unit
from inventory.rules.codes.search_keys import SEPARATORS, asked_keys, folded
from inventory.searched import PARTS, SEARCH_KINDS, fill_in_steps, fill_search
from tests import making
from tests.bench.copies import _no_triggers
from tests.making import ARRIVED

pytestmark = pytest.mark.database


def differing():
    return list(differences(connection))


def texts(kind, row):
    rows = SearchKey.objects.filter(kind=SEARCH_KINDS[kind].number, key=row.pk)
    return list(rows.values_list("text", flat=True))


class TestFollowing(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.bill = making.make_shipment(pro_number="77-1", bol_number="B 1/2")
        cls.crate = making.make_crate(cls.bill, mark="M/1", sscc="106141411234567897")
        cls.unit = making.make_unit(cls.bill, serial="S 1", crate=cls.crate)

    def expect(self, kind, row, *wanted):
        assert texts(kind, row) == list(wanted)
        assert differing() == []

    def test_each_number_of_a_new_row(self):
        self.expect("shipment", self.bill, "771", "B12")
        self.expect("crate", self.crate, "M1", "106141411234567897")
        self.expect("machine", self.unit, "S1")

    def test_a_number_that_changes_or_ends(self):
        rows = Crate.objects.filter(pk=self.crate.pk)
        rows.update(mark="N-2", sscc="")
        self.expect("crate", self.crate, "N2")
        rows.update(mark="-")
        self.expect("crate", self.crate)

    def test_the_database_folds_as_python_does(self):
        code = "aZ ä-Ä_ß\N{EN DASH}7\N{NO-BREAK SPACE}'\"%\\$x{}"
        Crate.objects.filter(pk=self.crate.pk).update(mark="", supplier_code=code)
        self.expect("crate", self.crate, "AZäÄß7X", "106141411234567897")
        assert folded(code) == "AZäÄß7X"
        for part in (SEPARATORS[:32], SEPARATORS[32:]):
            Crate.objects.filter(pk=self.crate.pk).update(supplier_code=part + "x")
            self.expect("crate", self.crate, "X", "106141411234567897")

    def test_a_row_that_is_taken_back_and_one_that_is_deleted(self):
        Crate.objects.filter(pk=self.crate.pk).update(
            withdrawn_at=ARRIVED,
            withdrawn_by=making.some_person(),
            withdrawn_reason="Twice.",
        )
        self.expect("crate", self.crate)
        gone = making.make_unit(self.bill, serial="S 2")
        self.expect("machine", gone, "S2")
        kept = Unit(pk=gone.pk)
        gone.delete()
        self.expect("machine", kept)

    def test_a_claim_that_is_retired(self):
        claim = making.make_claim(self.bill, number="C-7", carrier_claim_number="p/8")
        self.expect("claim", claim, "C7", "P8")
        Claim.objects.filter(pk=claim.pk).update(
            retired_at=ARRIVED, retired_reason="Its list was undone."
        )
        self.expect("claim", claim)

    def test_a_bill_that_moves_takes_its_crates_and_machines_along(self):
        there = making.make_location("HIL", name="Hillcrest")
        Shipment.objects.filter(pk=self.bill.pk).update(location=there)
        at = SearchKey.objects.values_list("location_id", flat=True)
        assert set(at) == {there.pk}
        assert differing() == []

    def test_what_is_undone_with_its_savepoint_is_as_before(self):
        point = transaction.savepoint()
        Crate.objects.filter(pk=self.crate.pk).update(mark="X-9")
        transaction.savepoint_rollback(point)
        self.expect("crate", self.crate, "M1", "106141411234567897")

    def test_what_changes_none_of_its_numbers_leaves_the_keys_alone(self):
        key = SearchKey.objects.filter(kind=3, text="M1")
        key.update(text="SEEN")
        Crate.objects.filter(pk=self.crate.pk).update(look="clear")
        assert "SEEN" in texts("crate", self.crate)

    def test_a_tampered_key_is_named(self):
        key = SearchKey.objects.get(text="M1")
        SearchKey.objects.filter(pk=key.pk).update(text="M2")
        told = (
            f"id {key.pk}, kind 3, location_id {key.location_id}, key {key.key}, text"
        )
        assert differing() == [
            f"The derived table inventory_searchkey lacks: {told} M1.",
            f"The derived table inventory_searchkey has by mistake: {told} M2.",
        ]
        fill_search(connection)
        assert differing() == []

    def test_tampered_trigrams_are_named(self):
        if connection.vendor != "sqlite":
            pytest.skip("PostgreSQL keeps its index itself.")
        with connection.cursor() as cursor:
            cursor.execute(f"INSERT INTO {PARTS} (rowid, text) VALUES (77, 'NOBODYS')")
        (sentence,) = differing()
        assert sentence.startswith("The search index inventory_searchtext differs")


class TestFilling(TestCase):
    @classmethod
    def setUpTestData(cls):
        bill = making.make_shipment()
        for number in range(7):
            making.make_unit(bill, serial=f"TX-{number} 48")
        making.make_claim(bill, carrier_claim_number="pw-77")
        cls.before = list(SearchKey.objects.values_list("id", "text"))

    def test_an_old_house_is_filled_in_steps_and_after_a_kill_goes_on(self):
        step, steps = searched._fill_step, []

        def killed_later(*said):
            if len(steps) == 3:
                raise DatabaseError("Killed.")
            steps.append(said)
            step(*said)

        kinds = SEARCH_KINDS.values()
        with transaction.atomic(), _no_triggers():
            with connection.cursor() as cursor:
                cursor.execute("DELETE FROM inventory_searchkey")
                if connection.vendor == "sqlite":
                    cursor.execute(f"INSERT INTO {PARTS} ({PARTS}) VALUES ('rebuild')")
            with (
                mock.patch.object(searched, "_fill_step", killed_later),
                pytest.raises(DatabaseError),
            ):
                fill_in_steps(connection, *kinds, step=2)
            assert 0 < SearchKey.objects.count() < len(self.before)
            fill_in_steps(connection, *kinds, step=2)
            fill_in_steps(connection, *kinds, step=2)  # nothing is left to do
        assert list(SearchKey.objects.values_list("id", "text")) == self.before
        assert differing() == []


class TestWhatIsMissing(TestCase):
    def test_a_database_without_trigrams_is_told_what_to_do(self):
        assert reasons_not_to_serve(connection) == []
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("DROP EXTENSION pg_trgm CASCADE")
            (reason,) = reasons_not_to_serve(connection)
            assert "CREATE EXTENSION pg_trgm" in reason
            search_index.make_parts(connection)  # where this user may make it
            assert reasons_not_to_serve(connection) == []
            return
        with mock.patch.object(search_index, "_has_fts", return_value=False):
            (reason,) = reasons_not_to_serve(connection)
            (warning,) = check_search(databases=["default"])
            assert "Install SQLite 3.34 or later with FTS5" in reason == warning.msg
            with pytest.raises(search_index.NoPartsError, match="FTS5"):
                search_index.make_parts(connection)

    def test_who_may_not_make_the_extension_is_told_whom_to_ask(self):
        if connection.vendor != "postgresql":
            pytest.skip("SQLite has no extensions to make.")
        with connection.cursor() as cursor:
            cursor.execute("DROP EXTENSION pg_trgm CASCADE")
            cursor.execute("CREATE ROLE humble")
            cursor.execute("SET LOCAL ROLE humble")
            with pytest.raises(search_index.NoPartsError, match="administrator"):
                search_index.make_parts(connection)
            cursor.execute("RESET ROLE")


@pytest.mark.parametrize(
    ("typed", "keys"),
    [
        ("2f-0416/6", ("2F04166",)),
        (" PRO 778 ", ("PRO778",)),
        ("ä-1", ("Ä1", "ä1")),
        ("ﬀ１", ("FF1",)),  # NFKC, Unicode UAX 15: the ligature and the wide digit
        ("-/ .", ()),
    ],
)
def test_a_typed_number_is_asked_in_every_form_it_may_be_stored_in(typed, keys):
    assert asked_keys(typed) == keys

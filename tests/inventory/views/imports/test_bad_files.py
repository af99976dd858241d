"""Every kind of list with every bad file: a clear answer, and nothing is changed."""

import pytest
import time_machine
from django.apps import apps

from inventory.models import CrateType
from inventory.models.sealed import Sealed
from inventory.rules.imports.kinds import KINDS
from tests.inventory.views.imports.bad_files import bad_files, bad_rows
from tests.inventory.views.imports.lists import ListCase, book_of, csv_rows
from tests.making import make_carrier, make_shipment, make_supplier
from tests.sizes import some_of

pytestmark = [pytest.mark.database, pytest.mark.slow]

SENDERS = {
    "machines": "mina",
    "opening-deposits": "abel",
    "expected-credits": "abel",
    "open-claims": "mina",
}


def everything():
    """Return how many rows each table of the house has."""
    ours = [one for one in apps.get_models() if issubclass(one, Sealed)]
    return {one.__name__: one._base_manager.count() for one in ours}


@time_machine.travel("2026-05-04T15:00Z", tick=False)
class TestBadFiles(ListCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        supplier = make_supplier(name="Teal Tillage Works")
        CrateType.objects.create(supplier=supplier, name="Wheel crate")
        carrier = make_carrier(name="Heron Haulage")
        make_shipment(
            location=cls.who.riverside, carrier=carrier, pro_number="88-104417"
        )

    def send(self, kind, file):
        sender = getattr(self.who, SENDERS.get(kind.key, "ada"))
        self.client.force_login(sender)
        place = {"location": self.who.riverside.pk} if kind.is_at_location else {}
        return self.client.post(self.page(kind.key), {"sheet": file, **place})

    def test_a_bad_file_gets_a_clear_answer_and_changes_nothing(self):
        before = everything()
        for kind in KINDS.values():
            files = bad_files(kind)
            assert len(files) >= 30
            for wrong in some_of(sorted(files), 4, kind.key):
                with self.subTest(kind=kind.key, wrong=wrong):
                    answer = self.send(kind, files[wrong]())
                    self.assertContains(answer, "Nothing was", status_code=422)
        assert everything() == before

    def test_a_bad_row_is_left_out_with_its_reason(self):
        before = everything()
        for kind in KINDS.values():
            for wrong, cells in bad_rows(kind).items():
                with self.subTest(kind=kind.key, wrong=wrong):
                    row = {**kind.example, "location": "Riverside", **cells}
                    line = [row.get(name, "") for name in kind.columns]
                    answer = self.send(kind, csv_rows(kind.columns.values(), line))
                    self.assertContains(answer, "There is nothing new to import.")
                    fate = answer.context["fates"][0]
                    assert fate.state == "refused"
                    assert fate.reason.endswith((".", "+1", "A1)", "x"))
        assert everything() == before

    def test_the_same_row_without_the_mistake_is_new_and_only_once(self):
        for kind in KINDS.values():
            with self.subTest(kind=kind.key):
                row = {**kind.example, "location": "Riverside"}
                if kind.key == "carriers":
                    row["name"] = "Gannet Freight"
                if kind.key in {"suppliers", "crate-types"}:
                    row["name"] = "Cinderbrook"
                line = [row.get(name, "") for name in kind.columns]
                answer = self.send(kind, csv_rows(kind.columns.values(), line, line))
                first, second = answer.context["fates"]
                assert (first.state, second.state) == ("new", "refused")
                assert second.reason == f"Row 2 is the same {kind.noun}."

    def test_a_day_of_a_workbook_is_a_date_and_no_number(self):
        for kind in KINDS.values():
            row = {**kind.example, "location": "Riverside"}
            for name in sorted(kind.days):
                with self.subTest(kind=kind.key, name=name):
                    line = [{**row, name: 46_022}.get(one) for one in kind.columns]
                    heads = list(kind.columns.values())
                    (fate,) = self.send(kind, book_of([heads, line])).context["fates"]
                    assert "46022 is a number, not a date." in fate.reason

"""A row that a form chose is retired before its action runs: the action refuses."""

from datetime import timedelta
from unittest.mock import patch
from uuid import uuid4

from django.urls import reverse
from django.utils import timezone

from claims.models import PaperTask
from inventory.actions.imports.undoing import undo_import
from inventory.models import (
    Carrier,
    CrateType,
    Delivery,
    Deposit,
    Entry,
    Event,
    ListImport,
    Supplier,
    User,
)
from inventory.views.core.act_view import ActView
from tests.claims.stage import claim_it, set_stage
from tests.inventory.views.imports.test_undoing import NOON, UndoCase
from tests.making import make_supplier

TODAY = NOON.date()


class TestRetiredMeanwhile(UndoCase):
    """The form is checked, then another person undoes the import, then it is saved."""

    def refuses(self, name, url, fields, *, by, table):
        row = ListImport.objects.get()
        before = table.objects.count()

        def undo(_view, _form):
            undo_import(
                person=self.who.ada,
                at=NOON,
                list_import=row,
                version=row.version,
                reason="The wrong list",
            )

        self.client.force_login(by)
        with patch.object(ActView, "prepare", undo):
            answer = self.client.post(url, fields | {"once": str(uuid4())})
        said = f"{name} was retired after you opened this page"
        self.assertContains(answer, said, status_code=422)
        self.assertContains(answer, "Nothing was saved.", status_code=422)
        assert table.objects.count() == before
        assert Event.objects.order_by("sequence").last().kind == "list.undone"
        return answer

    def invoice_line(self, **over):
        return {
            "location": self.who.riverside.pk,
            "invoice_number": "TT-7",
            "line_number": "1",
            "invoiced_on": TODAY - timedelta(days=9),
            "count": "1",
            "amount_cents": "120.00",
        } | over

    def test_a_carrier(self):
        self.bring(["Name"], ["Heron Haulage"])
        fields = {
            "carrier": Carrier.objects.get().pk,
            "arrived_at": f"{timezone.now() - timedelta(days=1):%Y-%m-%d %H:%M}",
        }
        url = reverse("log_delivery")
        self.refuses("Heron Haulage", url, fields, by=self.who.rosa, table=Delivery)

    def test_a_supplier(self):
        self.bring(["Name"], ["Teal Tillage"], kind="suppliers")
        fields = self.invoice_line(supplier=Supplier.objects.get().pk)
        answer = self.refuses(
            "Teal Tillage",
            reverse("charge_deposits"),
            fields,
            by=self.who.abel,
            table=Deposit,
        )
        self.assertContains(answer, "TT-7", status_code=422)
        assert not Entry.objects.exists()

    def test_a_crate_type(self):
        supplier = make_supplier(name="Teal Tillage")
        one = ["Teal Tillage", "Wheel crate", "Steel frame", "96"]
        self.bring(["Supplier", "Name", "Build", "Length"], one, kind="crate-types")
        kind = CrateType.objects.get()
        fields = self.invoice_line(supplier=supplier.pk, crate_type=kind.pk)
        url = reverse("charge_deposits")
        self.refuses("Wheel crate", url, fields, by=self.who.abel, table=Deposit)

    def test_a_person(self):
        head = ["Full name", "Sign-in name", "Location", "Roles"]
        self.bring(head, ["Ines Farrow", "ines", "RIV", "Manager"], kind="people")
        claim = claim_it(self.who, set_stage(self.who))
        url = reverse("give_paper", args=[claim.pk, "origin-condition"])
        ines = User.objects.get(username="ines")
        day = timezone.now().date() + timedelta(days=7)
        fields = {"owner": ines.username, "by_day": day, "note": "Ask them."}
        self.refuses("What you chose", url, fields, by=self.who.mina, table=PaperTask)

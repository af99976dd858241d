"""An empty company to its first signed truck and back, page after page, no script."""

import io
import shutil

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client, TestCase
from django.urls import reverse

from inventory.models import (
    AccountNumber,
    Carrier,
    CrateTerms,
    Delivery,
    Location,
    Supplier,
    User,
)
from tests.journeys.walker import Walker
from tests.pictures import jpeg

pytestmark = [pytest.mark.database, pytest.mark.slow]

PASSWORD = "kraft-paper-stencil-9"
REFUSED = (403, 404, 500)


def photo(name):
    """Return an upload of a photo."""
    return SimpleUploadedFile(f"{name}.jpg", jpeg(), "image/jpeg")


class FirstDayTests(TestCase):
    def setUp(self):
        self.addCleanup(shutil.rmtree, settings.EVIDENCE_ROOT, ignore_errors=True)
        said = io.StringIO()
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr("sys.stdin", io.StringIO(f"{PASSWORD}\n"))
            call_command("first_administrator", "ada", "Ada Marlow", stdout=said)
        self.said = said.getvalue()

    def sign_in(self, name):
        """Sign in by the form; return a walker, and where it leads."""
        client = Client()
        words = {"username": name, "password": PASSWORD}
        answer = client.post(reverse("login"), words, follow=True)
        assert answer.status_code == 200
        return Walker(client), answer.redirect_chain[-1][0]

    def enter_all(self, ada):
        """Enter the six boards but the last, as they open."""
        ada.fill(
            "welcome_location",
            name="East Tallow",
            code="ET",
            address="1 Mill Road\nEast Tallow, IA 50001",
            region="US-IA",
            time_zone="America/Chicago",
        )
        place = Location.objects.get()
        ada.fill(
            "welcome_people",
            full_name="Rosa Field",
            username="rosa",
            password=PASSWORD,
            **{f"roles_{place.pk}": ["clerk"]},
        )
        ada.fill(
            "welcome_suppliers",
            name="Cinderbrook Mowers",
            crate_type="Steel-foot crate",
            deposit="185.00",
            full_days="90",
        )
        ada.fill("welcome_carriers", name="Gannet Overland", scac="GNOV")
        ada.fill("welcome_accounts")

    def test_the_whole_way(self):
        assert "http://localhost:8000" in self.said
        ada, leads_to = self.sign_in("ada")
        assert leads_to == "/welcome/"
        self.enter_all(ada)

        place = Location.objects.get()
        assert (place.calendar, place.currency, place.paper) == (
            "US-IA",
            "USD",
            "letter",
        )
        terms = CrateTerms.objects.get(supplier=Supplier.objects.get())
        assert (terms.full_days, terms.rates.get().deposit_cents) == (90, 18_500)
        assert Carrier.objects.get().mail_days == 5
        numbers = list(AccountNumber.objects.values_list("number", flat=True))
        assert len(numbers) == len(set(numbers)) > 0
        assert "Rosa Field (receiving clerk)" in ada.read("welcome")

        rosa, leads_to = self.sign_in("rosa")
        assert leads_to == "/dock/"
        truck = self.sign_test_truck(rosa)
        page = ada.read("welcome")
        assert "All six boards are done" in page
        assert ">Welcome</a>" not in page

        rosa.press("end_test", truck.pk, on=("delivery", truck.pk))
        assert not Delivery.objects.exists()
        assert "Gannet Overland" not in rosa.read("dock")
        assert "All six boards are done" in ada.read("welcome")

    def sign_test_truck(self, rosa):
        """Start it from the dock's line, count, inspect and sign, by forms alone."""
        assert reverse("start_test") in rosa.read("dock")
        rosa.fill("start_test")
        truck = Delivery.objects.get()
        on = ("tailgate", truck.pk)
        rosa.press("edit_handover", truck.handovers.get().pk, on=on)
        load = f"?delivery={truck.pk}&kind=load&next={reverse(*on[:1], args=on[1:])}"
        rosa.fill("add_evidence", query=load, photos=photo("load"))
        rosa.press("clear_rest", truck.pk, on=on)
        rosa.fill("sign_receipt", truck.pk, how_signed="signed", photo=photo("receipt"))
        truck.refresh_from_db()
        assert truck.is_signed
        return truck

    def test_nothing_on_the_way_is_refused_to_the_administrator(self):
        ada, _ = self.sign_in("ada")
        for enter in (lambda: None, lambda: self.enter_all(ada)):
            enter()
            for address in self.linked_from(ada):
                answer = ada.client.get(address, follow=True)
                assert answer.status_code not in REFUSED, address

    def linked_from(self, ada):
        """Return every address that the boards, and the pages they lead to, link to."""
        found = {reverse("welcome")}
        for _ in range(2):
            for address in sorted(found):
                page = ada.client.get(address, follow=True).content.decode()
                links = {part.partition('"')[0] for part in page.split('href="')[1:]}
                found |= {
                    one
                    for one in links
                    if one.startswith("/") and "/static/" not in one
                }
        return found

    def test_what_is_missing_is_said_and_typed_words_stay(self):
        ada, _ = self.sign_in("ada")
        sent = {"name": "East Tallow", "code": "et", "region": "XX-ZZ"}
        answer = ada.client.post(reverse("welcome_location"), sent)

        self.assertContains(answer, "There is a problem", status_code=422)
        self.assertContains(answer, "East Tallow", status_code=422)
        self.assertContains(answer, "Choose a time zone from the list", status_code=422)
        assert not Location.objects.exists()
        for board in ("people", "suppliers", "accounts"):
            page = ada.read(f"welcome_{board}")
            assert "Enter the location first" in page

    def test_a_board_may_be_left_for_later_and_taken_twice(self):
        ada, _ = self.sign_in("ada")
        assert 'href="/welcome/people/"' in ada.read("welcome")
        assert 'href="/people/"' in ada.read("welcome_truck")

        first = ada.fill("welcome_carriers", name="Heron Haulage", another="yes")
        assert first == "/welcome/carriers/"
        second = ada.fill("welcome_carriers", name="Gannet Overland", scac="GNOV")
        assert second == "/welcome/"
        page = ada.read("welcome")
        assert "Gannet Overland and Heron Haulage" in page
        assert "have no address for claims yet" in page

    def test_a_supplier_with_half_a_crate_type_is_asked_for_the_rest(self):
        ada, _ = self.sign_in("ada")
        self.enter_all(ada)
        sent = {"name": "Teal Tillage", "crate_type": "Panel", "decline": "straight"}
        answer = ada.client.post(reverse("welcome_suppliers"), sent)
        self.assertContains(answer, "Fill this in too", count=4, status_code=422)

        sent |= {"deposit": "10", "full_days": "30", "ends_day": "20"}
        answer = ada.client.post(reverse("welcome_suppliers"), sent)
        self.assertContains(answer, "Nothing was saved.", status_code=422)
        assert Supplier.objects.count() == 1

        ada.fill("welcome_suppliers", name="Teal Tillage")
        assert Supplier.objects.count() == 2
        assert CrateTerms.objects.count() == 1

    def test_a_person_of_the_first_day_needs_a_role(self):
        ada, _ = self.sign_in("ada")
        self.enter_all(ada)
        sent = {"full_name": "Ivo", "username": "ivo", "password": PASSWORD}
        answer = ada.client.post(reverse("welcome_people"), sent)

        self.assertContains(answer, "Choose at least one role.", status_code=422)
        assert not User.objects.filter(username="ivo").exists()

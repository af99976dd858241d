"""The page on which a machine leaves."""

import pytest
from django.urls import reverse

from claims.models import Departure
from inventory.views.core.clock import today_at
from tests import making
from tests.claims.views.bench.test_bench import BenchPages

pytestmark = pytest.mark.database


class LeavingPages(BenchPages):
    @property
    def today(self):
        return today_at(self.people.riverside)

    def page(self, who):
        return self.as_(who).get(self.url("leave_unit", self.unit.pk))

    def send(self, who, **data):
        told = {"way": "sold", "to": "Lou Parr", "left_on": self.today.isoformat()}
        return self.as_(who).post(
            self.url("leave_unit", self.unit.pk), {**told, **data}
        )

    def test_the_clerk_is_told_whom_to_ask_and_offered_no_form(self):
        page = self.page("rosa")
        self.assertContains(page, "This machine is not released")
        self.assertContains(page, f"Ask {self.people.mina}")
        self.assertNotContains(page, 'name="to"')
        assert self.send("rosa").status_code == 422
        assert not Departure.objects.exists()

    def test_only_the_manager_is_asked_for_a_reason(self):
        self.assertContains(self.page("mina"), "Only your reason")
        self.assertContains(self.send("mina"), "Enter the reason.", status_code=422)
        answer = self.send("mina", reason="It goes to the training shop.")
        unit = reverse("unit", args=[self.unit.pk])
        self.assertRedirects(answer, unit)
        page = self.as_("rosa").get(unit)
        self.assertContains(page, "Gone.")
        self.assertContains(page, "Released by the manager without sign-off")
        self.assertContains(page, "It goes to the training shop.")

    def test_signed_off_long_ago_it_is_checked_before_the_customer_has_it(self):
        making.make_sign_off(self.unit)
        page = self.page("rosa")
        self.assertContains(page, "before it goes to the customer, check it once more")
        answer = self.send("rosa", check_tires="right")
        self.assertContains(answer, "check it again first: battery", status_code=422)
        checks = ("tires", "battery", "oil", "leaks", "switches")
        self.send("rosa", **{f"check_{one}": "right" for one in checks})
        assert Departure.objects.get().checks == dict.fromkeys(checks, "right")

    def test_signed_off_today_nothing_is_checked_again(self):
        making.make_sign_off(self.unit, signed_on=self.today)
        self.assertNotContains(self.page("rosa"), "Check at customer delivery")
        self.send("rosa")
        assert Departure.objects.get().way == "sold"

    def test_what_left_by_mistake_is_back(self):
        making.make_sign_off(self.unit, signed_on=self.today)
        self.send("rosa")
        back = self.url("take_back_unit", self.unit.pk)
        self.assertContains(self.page("rosa"), "<h1>Record its departure</h1>")
        self.assertContains(self.as_("rosa").get(back), "<h1>Record its return</h1>")
        self.assertContains(self.page("rosa"), "It has left already.")
        self.as_("rosa").post(back, {"reason": "Recorded by mistake."})
        unit = reverse("unit", args=[self.unit.pk])
        self.assertNotContains(self.as_("rosa").get(unit), "Gone.")

"""The manager's pages of the setup lists: versions are offered, never forced."""

import pytest
from django.urls import reverse

from claims.models import SetupList
from claims.rules.bench.setup_lists import KINDS
from tests import making
from tests.claims.views.bench.test_bench import BenchPages
from tests.creating import list_sent

pytestmark = pytest.mark.database

KIND = "ride-on-mower"


def at(line):
    """Return the position of a line on our list."""
    return [one.key for one in KINDS[KIND].lines].index(line)


class SetupLists(BenchPages):
    def send(self, who="mina", **over):
        sent = {**list_sent(KIND), "reason": "For this yard.", **over}
        address = reverse("edit_setup_list", args=[KIND])
        told = {name: value for name, value in sent.items() if value is not None}
        return self.as_(who).post(address, told)

    def last(self):
        return SetupList.objects.filter(kind=KIND).order_by("-number").first()

    def test_the_manager_finds_them_from_the_bench(self):
        address = reverse("setup_lists")
        self.assertContains(self.as_("mina").get(reverse("bench")), address)
        self.assertNotContains(self.as_("tomas").get(reverse("bench")), address)
        page = self.as_("mina").get(address)
        for kind in KINDS.values():
            self.assertContains(page, kind.label)

    def test_lines_are_added_reworded_moved_and_left_out(self):
        total = len(KINDS[KIND].lines)
        manual, keys = at("manual"), at("keys")
        answer = self.send(
            **{
                "line-TOTAL_FORMS": total + 1,
                f"line-{manual}-label": "Manual in the buyer's language",
                f"line-{keys}-drop": "on",
                f"line-{at('registration')}-place": "1",
                f"line-{total}-label": "Mirror",
                f"line-{total}-hint": "Fitted?",
                f"line-{total}-caution": "jack",
                f"line-{total}-reads": "gap|left,right",
            }
        )
        self.assertRedirects(answer, reverse("setup_lists"))
        rows = {line.key: line for line in self.last().rows}
        assert self.last().number == 2
        assert self.last().rows[0].key == "registration"
        assert rows["manual"].label == "Manual in the buyer's language"
        assert "keys" not in rows
        assert rows["own-1"].caution == "jack"
        assert rows["own-1"].readings.points == ("left", "right")
        page = self.as_("mina").get(reverse("edit_setup_list", args=[KIND]))
        self.assertContains(page, "left out")

    def test_a_safety_line_cannot_be_left_out_and_nothing_is_lost(self):
        switches = at("interlocks")
        answer = self.send(**{f"line-{switches}-drop": "on"})
        self.assertContains(answer, "is a safety line and must stay", status_code=422)
        self.assertContains(answer, "For this yard.", status_code=422)
        answer = self.send(**{f"line-{switches}-never_open": None})
        self.assertContains(answer, "must stay a safety line", status_code=422)
        assert not SetupList.objects.filter(number=2).exists()

    def test_an_open_setup_keeps_its_version_until_it_takes_the_new_one(self):
        making.make_setup(self.unit, begun_by=self.people.tomas)
        self.send(**{f"line-{at('keys')}-label": "Both keys"})
        setup = reverse("setup", args=[self.unit.pk])
        page = self.as_("tomas").get(setup)
        self.assertContains(page, "Version 2 of this list is ready")
        self.assertNotContains(page, "Both keys")
        begin = reverse("begin_setup", args=[self.unit.pk])
        self.as_("tomas").post(begin, {"kind": KIND})
        self.assertContains(self.as_("tomas").get(setup), "Both keys")

    def test_two_managers_cannot_overwrite_each_other(self):
        self.send()
        answer = self.send(reason="Mine.")
        assert answer.status_code == 422
        assert self.last().number == 2

    def test_a_key_left_out_is_never_given_to_another_line(self):
        total = len(KINDS[KIND].lines)
        added = {"line-TOTAL_FORMS": total + 1, f"line-{total}-label": "Mirror"}
        self.send(**added)
        self.send(base=2, reason="No mirror.")
        self.send(base=3, reason="A lamp.", **{**added, f"line-{total}-label": "Lamp"})
        assert [line.key for line in self.last().rows if line.label == "Lamp"] == [
            "own-2"
        ]

"""A supplier's crate types and its terms, typed as the supplier tells them."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.actions.crates.terms import Priced, TermsTold, add_terms
from inventory.models import CrateTerms, CrateType, Event
from inventory.queries.deposits.facts import rule_of
from inventory.rules.deposits.credit import Terms
from tests import making
from tests.people import cast
from tests.sizes import some_of

pytestmark = pytest.mark.database

TYPE = {
    "name": "Panel crate 60",
    "code": "pc-60",
    "build": "wood",
    "kept_by": "mark",
    "size_unit": "in",
    "length": "77",
    "width": "52 1/2",
    "height": "1219 mm",
    "weight_unit": "lb",
    "tare_weight": "212.5",
    "most_stacked": "4",
    "takedown": "Lid first.",
    "part-TOTAL_FORMS": "40",
    "part-INITIAL_FORMS": "0",
    "part-0-name": "side panel",
    "part-0-count": "4",
    "part-1-name": "lid",
    "part-1-count": "1",
}


class Page(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.supplier = making.make_supplier()

    def setUp(self):
        self.client.force_login(self.who.abel)

    def url(self, name, *keys):
        return reverse(name, args=[self.supplier.pk, *keys])


class TestTypes(Page):
    def add(self, **over):
        return self.client.post(self.url("add_crate_type"), TYPE | over)

    def test_a_type_is_kept_with_its_sizes_and_parts(self):
        self.assertRedirects(self.add(), self.url("crate_types"))
        row = CrateType.objects.get()
        assert (row.length_mm, row.width_mm, row.height_mm) == (1956, 1334, 1219)
        assert (row.code, row.tare_weight) == ("PC-60", "212.5")
        parts = row.parts.order_by("pk").values_list("name", "count")
        assert list(parts) == [("side panel", 4), ("lid", 1)]
        assert Event.objects.get().kind == "crate-type.added"

    def test_its_page_shows_both_units_and_the_cautions(self):
        self.add()
        page = self.client.get(self.url("crate_types"))
        self.assertContains(page, "52 1/2&quot; (1,334 mm) wide")
        self.assertContains(page, "4 × side panel")
        self.assertContains(page, "Straps are under tension")
        self.assertContains(page, "follow the maker")

    def test_what_was_typed_comes_back(self):
        answer = self.add(width="wide", takedown="Lid last of all")
        self.assertContains(answer, "That is not a length", status_code=422)
        self.assertContains(answer, "Lid last of all", status_code=422)
        assert not CrateType.objects.exists()

    def test_a_part_begun_or_named_twice_asks_for_the_rest(self):
        answer = self.add(**{"part-0-count": ""})
        self.assertContains(answer, "Enter how many are required", status_code=422)
        answer = self.add(**{"part-1-name": "Side Panel"})
        self.assertContains(answer, "already listed", status_code=422)
        answer = self.add(**{"part-2-count": "2"})
        self.assertContains(answer, "Enter the name of the part", status_code=422)

    def test_a_name_twice_is_refused(self):
        self.add()
        self.assertContains(
            self.add(), "already has a type with that name", status_code=422
        )

    def test_a_grai_is_held_to_its_check_digit(self):
        answer = self.add(grai="9521234567890")
        self.assertContains(answer, "The last digit should be", status_code=422)
        due = answer.content.decode().split("The last digit should be ")[1][0]
        self.add(grai=f"952123456789{due}")
        assert CrateType.objects.get().grai == f"0952123456789{due}"

    def test_changing_keeps_parts_that_are_named_in_a_check(self):
        self.add()
        row = CrateType.objects.get()
        terms_row(self.supplier, row)
        answer = self.client.post(
            self.url("edit_crate_type", row.pk),
            TYPE | {"version": "1", "part-1-name": "cover"},
        )
        self.assertContains(answer, "must stay on the list", status_code=422)
        answer = self.client.post(
            self.url("edit_crate_type", row.pk),
            TYPE | {"version": "1", "part-2-name": "base", "part-2-count": "1"},
        )
        self.assertRedirects(answer, self.url("crate_types"))
        assert row.parts.count() == 3

    def test_a_stale_form_is_told_so(self):
        self.add()
        row = CrateType.objects.get()
        url = self.url("edit_crate_type", row.pk)
        self.client.post(url, TYPE | {"version": "1", "name": "Panel crate 61"})
        answer = self.client.post(url, TYPE | {"version": "1", "name": "Other"})
        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )

    def test_the_form_of_a_type_begins_with_what_is_kept(self):
        self.add()
        row = CrateType.objects.get()
        page = self.client.get(self.url("edit_crate_type", row.pk))
        self.assertContains(page, 'value="52 1/2"')
        self.assertContains(page, 'value="side panel"')

    def test_a_type_of_another_supplier_is_unknown_here(self):
        other = making.make_crate_type()
        answer = self.client.get(self.url("edit_crate_type", other.pk))
        assert answer.status_code == 404


def terms_row(supplier, crate_type):
    """Add terms that price each part of a type."""
    return add_terms(
        person=making.some_person(),
        at=datetime(2026, 3, 1, tzinfo=UTC),
        supplier=supplier,
        told=TermsTold(
            starts_on=date(2026, 1, 1),
            currency="USD",
            rule=Terms(
                clock_starts="invoice",
                clock_stops="pick-up",
                full_days=45,
                memo_days=30,
                minimum_per_pickup=1,
            ),
            source="Old sheet",
            rates={crate_type.pk: 15_000},
            deductions={part.pk: Priced(1_000, 500) for part in crate_type.parts.all()},
        ),
    )


def terms_of(crate_type):
    """Return a good sending of terms with a deposit for this type."""
    return {
        "starts_on": "2026-04-01",
        "currency": "USD",
        "source": "Crate sheet 4, page 1",
        "clock_starts": "invoice",
        "clock_stops": "receipt",
        "full_days": "60",
        "includes_last_day": "on",
        "decline": "steps",
        "step-TOTAL_FORMS": "12",
        "step-INITIAL_FORMS": "0",
        "step-0-day": "60",
        "step-0-percent": "62.5",
        "step-1-day": "90",
        "step-1-percent": "25",
        "ends_day": "120",
        "ceiling": "50",
        "return_freight": "us",
        "minimum_per_pickup": "4",
        "needs_authorization": "on",
        "transit_days": "3",
        "unloading_days": "1",
        "memo_days": "30",
        f"rate_{crate_type.pk}": "185.00",
    }


class TestTerms(Page):
    def setUp(self):
        super().setUp()
        self.type = making.make_crate_type(self.supplier)
        self.panel, self.lid = self.type.parts.order_by("pk")

    def terms(self, **over):
        parts = {
            f"missing_{self.panel.pk}": "45",
            f"damaged_{self.panel.pk}": "25.50",
        }
        return terms_of(self.type) | parts | over

    def add(self, **over):
        return self.client.post(self.url("add_terms"), self.terms(**over))

    def test_terms_are_kept_whole(self):
        self.assertRedirects(self.add(), self.url("crate_types"))
        row = CrateTerms.objects.get()
        rule = rule_of(row)
        assert rule.steps == ((60, Decimal("62.50")), (90, Decimal(25)))
        assert (rule.full_days, rule.ends_day, rule.ceiling) == (60, 120, 50)
        assert (rule.needs_authorization, rule.needs_appointment) == (True, False)
        assert rule.oldest_first is False
        assert row.rates.get().deposit_cents == 18_500
        price = row.deductions.get()
        assert (price.missing_cents, price.damaged_cents) == (4_500, 2_550)
        assert Event.objects.get().kind == "terms.added"

    def test_the_newest_stands_first_in_plain_words(self):
        terms_row(self.supplier, self.type)
        self.add()
        page = self.client.get(self.url("crate_types")).content.decode()
        new = page.index("62.5 % after day 60, 25 % after day 90")
        assert new < page.index("Full credit to day 45")
        assert "Old sheet" in page

    def test_the_form_begins_with_the_terms_before(self):
        terms_row(self.supplier, self.type)
        page = self.client.get(self.url("add_terms"))
        self.assertContains(page, 'value="45"')
        self.assertContains(page, 'value="150.00"')
        self.assertNotContains(page, "Old sheet")

    def test_terms_that_contradict_themselves_are_told(self):
        answer = self.add(**{"step-0-day": "70"})
        self.assertContains(answer, "Use the same day for both", status_code=422)
        self.assertContains(answer, "Crate sheet 4, page 1", status_code=422)
        answer = self.add(decline="none")
        self.assertContains(answer, "Steps need the decline", status_code=422)
        assert not CrateTerms.objects.exists()

    def test_half_a_step_or_price_asks_for_the_rest(self):
        answer = self.add(**{"step-1-percent": ""})
        self.assertContains(answer, "Fill this in too", status_code=422)
        answer = self.add(**{f"damaged_{self.panel.pk}": ""})
        self.assertContains(answer, "Fill this in too", status_code=422)

    def test_no_deposit_at_all_is_refused(self):
        answer = self.add(**{f"rate_{self.type.pk}": ""})
        self.assertContains(answer, "deposit of at least one", status_code=422)

    @pytest.mark.slow
    def test_hostile_numbers_are_told_and_never_fail(self):
        for field in (
            "full_days",
            "step-0-percent",
            "ceiling",
            "starts_on",
            "memo_days",
        ):
            hostile = ("NaN", "-1", "9" * 40, "\x00", "٦٠", "1e9")
            for text in some_of(hostile, 2, field):
                with self.subTest(field=field, text=text):
                    assert self.add(**{field: text}).status_code == 422

    def test_a_supplier_without_a_type_says_what_to_do_first(self):
        bare = making.make_supplier()
        page = self.client.get(reverse("add_terms", args=[bare.pk]))
        self.assertContains(page, "add one first")

    def test_an_unknown_supplier_is_not_found(self):
        for key in (self.supplier.pk + 1_000, 2**63):
            answer = self.client.get(reverse("crate_types", args=[key]))
            assert answer.status_code == 404


class TestLines(Page):
    """Repeated lines: parts of a type, steps of the terms."""

    def add(self, **over):
        return self.client.post(self.url("add_crate_type"), TYPE | over)

    def folded(self, page):
        after = page.content.decode().split('<details class="more">')[1]
        return after.split("</details>")[0]

    def test_a_few_lines_are_open_and_the_rest_are_folded(self):
        page = self.client.get(self.url("add_crate_type"))

        self.assertContains(page, "More parts")
        assert 'name="part-3-name"' not in self.folded(page)
        assert 'name="part-4-name"' in self.folded(page)
        assert 'name="part-39-name"' in self.folded(page)
        assert 'name="part-40-name"' not in page.content.decode()

    def test_a_filled_line_is_open_and_an_empty_one_after_it(self):
        page = self.add(**{"part-7-name": "bracket", "name": ""})

        assert page.status_code == 422
        assert 'name="part-8-name"' not in self.folded(page)
        assert 'name="part-9-name"' in self.folded(page)

    def test_the_summary_leads_to_the_wrong_line(self):
        page = self.add(**{"part-1-count": "none"})

        self.assertContains(page, "Check the lines under", status_code=422)
        self.assertContains(
            page,
            '<a href="#id_part-1-count">Part 2, Number required: ',
            status_code=422,
        )

    def test_a_line_that_is_cleared_leaves_the_list(self):
        self.add()
        row = CrateType.objects.get()
        sent = TYPE | {"version": "1", "part-INITIAL_FORMS": "2"}
        answer = self.client.post(
            self.url("edit_crate_type", row.pk),
            sent | {"part-1-name": "", "part-1-count": ""},
        )

        self.assertRedirects(answer, self.url("crate_types"))
        assert [part.name for part in row.parts.all()] == ["side panel"]

    def test_steps_as_they_are_shown_are_saved_though_others_added_them(self):
        crate_type = making.make_crate_type(self.supplier)
        sent = terms_of(crate_type)
        url = self.url("add_terms")
        for day in ("2026-04-01", "2026-05-01"):
            self.assertRedirects(
                self.client.post(url, sent | {"starts_on": day}),
                self.url("crate_types"),
            )

        steps = [list(terms.steps.values_list("after_day")) for terms in _terms()]
        assert steps == [[(60,), (90,)]] * 2

    def test_a_damaged_count_of_lines_gets_a_sentence(self):
        for count in ("", "many", "4e1"):
            with self.subTest(count=count):
                page = self.add(**{"part-TOTAL_FORMS": count})
                self.assertContains(page, "was lost on the way", status_code=422)
        assert not CrateType.objects.exists()

    def test_more_lines_than_the_page_has_are_refused(self):
        page = self.add(**{"part-TOTAL_FORMS": "999999"})

        self.assertContains(page, "too many lines", status_code=422)
        assert not CrateType.objects.exists()


def _terms():
    return CrateTerms.objects.order_by("starts_on")

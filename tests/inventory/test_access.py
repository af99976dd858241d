"""The gates, asked directly; tests/house/test_access_matrix.py asks every address.

The table of rights is our own policy. There is no outside source for it.
"""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.test import TestCase

from inventory import access
from inventory.models import Assignment, Crate, Delivery, Location
from inventory.rules.core import roles
from tests.making import make_crate, make_delivery, make_shipment
from tests.people import cast, make_person

pytestmark = pytest.mark.database


class TestTheGates(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_delivery(location=cls.who.riverside)
        cls.crate = make_crate(make_shipment(location=cls.who.riverside))

    def test_a_row_of_ones_own_location_is_obtained(self):
        found = access.obtain(
            Delivery.objects.all(), self.who.rosa, self.truck.pk, "log-delivery"
        )
        assert found == self.truck

    def test_a_crate_is_at_the_location_of_its_freight_bill(self):
        found = access.obtain(
            Crate.objects.all(), self.who.mina, self.crate.pk, "keep-crates"
        )
        assert found == self.crate
        assert access.location_id_of(self.crate) == self.who.riverside.pk

    def test_a_person_belongs_to_no_location(self):
        assert access.location_id_of(self.who.rosa) is None

    def test_the_wrong_role_is_refused_with_the_reason(self):
        for person in (self.who.tomas, self.who.abel):
            with pytest.raises(PermissionDenied, match="receiving clerk or manager"):
                access.obtain(
                    Delivery.objects.all(), person, self.truck.pk, "log-delivery"
                )

    def test_a_row_of_another_location_is_unknown(self):
        for person in (self.who.nell, self.who.ada):
            with pytest.raises(Http404):
                access.obtain(Delivery.objects.all(), person, self.truck.pk, "see")

    def test_a_key_that_is_no_key_is_unknown(self):
        for key in ("x", "", None, 10**30, -1):
            with pytest.raises(Http404):
                access.obtain(Delivery.objects.all(), self.who.rosa, key, "see")

    def test_rows_are_those_of_the_locations_where_the_act_is_allowed(self):
        def rows(person, act):
            return list(access.scoped(Delivery.objects.all(), person, act))

        assert rows(self.who.rosa, "see") == [self.truck]
        assert rows(self.who.rosa, "log-delivery") == [self.truck]
        assert rows(self.who.tomas, "log-delivery") == []
        assert rows(self.who.nell, "log-delivery") == []

    def test_locations_are_those_with_a_role_for_the_act_by_name(self):
        both = make_person(
            "both", "Both", (self.who.riverside, "clerk"), (self.who.hillcrest, "clerk")
        )
        names = access.locations_of(both).values_list("name", flat=True)
        assert list(names) == ["Hillcrest", "Riverside"]
        assert not access.locations_of(both, "approve-write-off").exists()

    def test_an_act_needs_its_role_at_this_very_location(self):
        assert access.may(self.who.mina, self.who.riverside.pk, "approve-write-off")
        assert not access.may(self.who.nell, self.who.riverside.pk, "approve-write-off")
        assert not access.may(self.who.abel, self.who.riverside.pk, "approve-write-off")
        access.require(self.who.mina, self.who.riverside.pk, "approve-write-off")
        with pytest.raises(PermissionDenied):
            access.require(self.who.nell, self.who.riverside.pk, "see")

    def test_an_act_somewhere_needs_its_role_at_some_location(self):
        access.require_somewhere(self.who.nell, "keep-partners")
        with pytest.raises(PermissionDenied, match="Only a manager or admin"):
            access.require_somewhere(self.who.rosa, "keep-partners")

    def test_who_is_assigned_nowhere_is_told_whom_to_ask(self):
        with pytest.raises(PermissionDenied, match="Ask a"):
            access.require_somewhere(self.who.ada, "see")

    def test_roles_end_with_their_assignment(self):
        Assignment.objects.filter(person=self.who.rosa).delete()
        assert access.roles_at(self.who.rosa, self.who.riverside.pk) == frozenset()
        with pytest.raises(Http404):
            access.obtain(Delivery.objects.all(), self.who.rosa, self.truck.pk, "see")

    def test_whom_to_ask_is_by_name_and_leaves_out_who_is_disabled(self):
        make_person("zoe", "Zoe Marsh", (self.who.riverside, "manager"))
        make_person("amy", "Amy Lund", (self.who.riverside, "manager"))
        make_person(
            "bea", "Bea Quill", (self.who.riverside, "manager"), is_active=False
        )
        found = access.who_may("approve-write-off", self.who.riverside.pk)
        names = [person.full_name for person in found]
        assert names == ["Amy Lund", "Mina Okoro", "Zoe Marsh"]

    def test_people_and_locations_are_the_administrators(self):
        access.require_administrator(self.who.ada)
        with pytest.raises(PermissionDenied, match="kept by the administrator"):
            access.require_administrator(self.who.mina)

    def test_nobody_passes_who_is_not_signed_in(self):
        request = HttpRequest()
        request.user = AnonymousUser()
        with pytest.raises(PermissionDenied, match="Sign in first"):
            access.person_of(request)
        request.user = self.who.rosa
        assert access.person_of(request) == self.who.rosa

    def test_a_location_is_scoped_by_itself(self):
        mine = access.scoped(Location.objects.all(), self.who.rosa)
        assert list(mine) == [self.who.riverside]


class TestTheTableOfRights:
    def test_any_one_of_several_roles_is_enough(self):
        held = frozenset({roles.TECHNICIAN, roles.ACCOUNTING})
        assert roles.decide(held, "post-deposits").allowed
        assert roles.decide(held, "look").allowed
        assert not roles.decide(held, "approve-write-off").allowed

    def test_without_a_role_nothing_is_allowed(self):
        for act in roles.ACTS:
            assert not roles.decide(frozenset(), act).allowed, act

    def test_an_act_that_nobody_listed_is_a_mistake_not_permission(self):
        with pytest.raises(KeyError):
            roles.decide(frozenset(roles.ROLES), "open-the-safe")

    def test_a_refusal_names_who_may_and_says_that_nothing_changed(self):
        verdict = roles.decide(frozenset({roles.CLERK}), "see-deposits")
        assert verdict.reason == (
            "Only a manager or accounting can do this. Nothing was changed. "
            "Ask a colleague with that role, or your administrator."
        )

    @pytest.mark.parametrize(
        ("act", "who"),
        [
            ("see", "a receiving clerk, technician, manager or accounting"),
            ("keep-mail", "a receiving clerk or manager"),
            ("withhold-evidence", "a manager"),
            ("post-deposits", "accounting"),
            ("keep-accounts", "accounting or an administrator"),
        ],
    )
    def test_a_refusal_lists_who_may_as_people_say_it(self, act, who):
        assert roles.decide(frozenset(), act).reason.startswith(f"Only {who} can do ")

    def test_who_is_allowed_is_given_no_reason(self):
        assert roles.decide(frozenset({roles.MANAGER}), "see-deposits").reason == ""

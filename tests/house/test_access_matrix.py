"""Every address x every role x own and other location x signed out, by a table.

An address that is not in the table fails: nobody may add a page without saying who
may open it. In every run a few people try each, drawn by its name: a stranger, one who
may and one who may not. The whole form tries everyone.
"""

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.rules.core import roles
from inventory.rules.core.roles import ACTS
from tests.house.access_rows import make_rows
from tests.house.access_table import (
    ADMINISTRATOR,
    HOMES,
    LISTS,
    OBJECTS,
    OPEN,
    OWN,
    POST_ONLY,
    READS,
    SHARED,
    TOKENS,
)
from tests.house.addresses import address_for, names_of_the_house, undone
from tests.people import cast
from tests.sizes import some_of

pytestmark = [pytest.mark.database, pytest.mark.slow]

ROLE_OF = {
    "rosa": "clerk",
    "tomas": "technician",
    "mina": "manager",
    "abel": "accounting",
}
STRANGERS = {"nell": 404, "ada": 404, None: 302}
"""Those of another location, of none, and signed out, with what they get."""

TAKEN = {302, 400, 409, 422}
"""What an empty form gets from someone who may send it: done, or told why not."""

EMPTY = {"get": None, "post": {"version": ""}}


class TestAccess(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.rows = make_rows(cls.who)

    def test_an_object_opens_for_its_roles_and_is_unknown_to_strangers(self):
        for act, name, kind in pages_of(OBJECTS):
            url = self.url(name, kind)
            for person in drawn(STRANGERS, name):
                status = STRANGERS[person]
                self.expect(name, person, {status}, url)
            for person, role in roles_for(act, name):
                self.expect(name, person, {200 if role in ACTS[act] else 403}, url)

    def test_what_may_not_be_opened_may_not_be_sent_either(self):
        for act, name, kind in [*pages_of(OBJECTS), *pages_of(POST_ONLY)]:
            url = self.url(name, kind)
            if self.shows_only(url):
                continue
            for person in drawn(STRANGERS, name):
                status = STRANGERS[person]
                self.expect(name, person, {status}, url, method="post")
            for person, role in roles_for(act, name):
                wanted = TAKEN if role in ACTS[act] else {403}
                self.expect(name, person, wanted, url, method="post")

    def test_an_address_that_only_takes_an_act_shows_nothing(self):
        for _act, name, kind in pages_of(POST_ONLY):
            self.expect(name, "mina", {405}, self.url(name, kind))

    def test_what_belongs_to_no_location_opens_for_its_roles(self):
        for act, name, kind in [*pages_of(SHARED), *lists()]:
            url = self.url(name, kind)
            self.expect(name, None, {302}, url)
            ada = 200 if roles.ADMINISTRATOR in ACTS[act] else 403
            self.expect(name, "ada", {ada}, url)
            for person, role in roles_for(act, name, nell="manager"):
                self.expect(name, person, {200 if role in ACTS[act] else 403}, url)

    def test_what_is_open_opens_for_everyone_signed_in(self):
        for name in OPEN:
            self.expect(name, None, {302}, reverse(name))
            for person in drawn([*ROLE_OF, "nell", "ada"], name):
                self.expect(name, person, {200}, reverse(name))

    def test_what_only_reads_is_open_to_everyone_signed_in(self):
        for name in READS:
            self.expect(name, None, {302}, reverse(name), method="post")
            for person in drawn([*ROLE_OF, "nell", "ada"], name):
                self.expect(name, person, {405}, reverse(name))
                self.expect(name, person, {422}, reverse(name), method="post")

    def test_ones_own_reminders_are_ones_own(self):
        for name in OWN:
            self.expect(name, None, {302}, reverse(name), method="post")
            self.expect(name, "ada", {403}, reverse(name), method="post")
            for person in [*ROLE_OF, "nell"]:
                self.expect(name, person, {405}, reverse(name))
                self.expect(name, person, {302}, reverse(name), method="post")

    def test_a_wrong_token_is_not_found_whoever_has_it(self):
        for name in TOKENS:
            for person in (None, *ROLE_OF, "nell", "ada"):
                self.expect(name, person, {404}, reverse(name, args=["guessed"]))

    def test_people_and_locations_open_for_the_administrator_alone(self):
        for name, kind in ADMINISTRATOR:
            url = self.url(name, kind)
            self.expect(name, "ada", {200}, url)
            self.expect(name, None, {302}, url)
            for person in drawn([*ROLE_OF, "nell"], name):
                self.expect(name, person, {403}, url)
                self.expect(name, person, {403, 405}, url, method="post")

    def test_home_leads_each_person_to_their_desk(self):
        for person, desk in HOMES.items():
            with self.subTest(person=person):
                self.client.force_login(getattr(self.who, person))
                assert self.client.get(reverse("home")).url == reverse(desk)

    def expect(self, name, person, statuses, url, *, method="get"):
        with self.subTest(page=name, person=person, method=method), undone():
            if person:
                self.client.force_login(getattr(self.who, person))
            else:
                self.client.cookies.clear()
            answer = getattr(self.client, method)(url, EMPTY[method])
            if answer.streaming:
                b"".join(answer.streaming_content)  # reading it all closes the file
            assert answer.status_code in statuses, answer.status_code

    def shows_only(self, url):
        """Say whether the address takes no POST, whoever sends it."""
        self.client.force_login(self.who.mina)
        return "POST" not in self.client.options(url).headers.get("Allow", "POST")

    def url(self, name, kind):
        """Return the address of this row: its keys, or words after them, or both."""
        rows = {
            **self.rows,
            "person": [self.who.rosa.pk],
            "location": [self.who.riverside.pk],
        }
        return address_for(rows, name, kind)


class TestTheTable:
    def test_the_table_speaks_of_every_address_of_the_house_and_of_no_other(self):
        assert names_in_the_table() == names_of_the_house()

    def test_no_address_is_in_the_table_twice(self):
        names = listed_names()
        assert sorted(names) == sorted(set(names))


def drawn(people, name):
    """Return all of these people, or one drawn by the name of the address."""
    return some_of(people, 1, name)


def roles_for(act, name, **more):
    """Return people with their roles: all, or one who may and one who may not."""
    roles = {**ROLE_OF, **more}
    may = [person for person in roles if roles[person] in ACTS[act]]
    others = [person for person in roles if person not in may]
    those = [*drawn(may, name), *drawn(others, name)]
    return [(person, roles[person]) for person in those]


def pages_of(table):
    """Return (act, name, kind) for each address of the table."""
    return [(act, name, kind) for act, pages in table.items() for name, kind in pages]


def lists():
    """Return the same for the lists, which are of no one row."""
    return pages_of({act: [(name, None) for name in n] for act, n in LISTS.items()})


def listed_names():
    """Return every address name that the table speaks of, as often as it does."""
    tables = [*OBJECTS.values(), *POST_ONLY.values(), *SHARED.values(), ADMINISTRATOR]
    return [
        "home",
        *OPEN,
        *OWN,
        *READS,
        *TOKENS,
        *(name for pages in tables for name, _kind in pages),
        *(name for names in LISTS.values() for name in names),
    ]


def names_in_the_table():
    """Return every address name that the table speaks of."""
    return set(listed_names())

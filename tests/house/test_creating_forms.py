"""A form that creates is saved once, however often it is sent."""

import re
import uuid
from itertools import chain, repeat

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import get_resolver
from django.utils.html import escape

from inventory.forms.core.base import HouseForm
from inventory.forms.imports.lists import TakeListForm
from inventory.forms.memos.memos import TakeImportForm
from inventory.forms.receiving.expected import TakeExpectedForm
from inventory.models import Assignment, Once
from inventory.views.core import act_view
from tests.creating import CREATING
from tests.creating_books import BOOKS
from tests.creating_money import MONEY
from tests.creating_offers import OFFERS
from tests.creating_partners import PARTNERS
from tests.creating_remittances import REMITTANCES
from tests.creating_returns import RETURNS
from tests.people import make_person
from tests.scenes import Scene, kept

pytestmark = [pytest.mark.database, pytest.mark.django_db, pytest.mark.one_in(4)]


ALL = [*BOOKS, *CREATING, *MONEY, *OFFERS, *PARTNERS, *REMITTANCES, *RETURNS]
BY_NAME = {one.name: one for one in ALL}
"""The tests are put in order by these names, so that those of one form are together."""


class Sender:
    """A person who has the form open."""

    def __init__(self, scene):
        self.creating = scene.form
        self.person = scene.person
        self.address, self.data = scene.address, scene.data
        self.browser = scene.browser()
        self.once = str(uuid.uuid4())
        self.before = self.rows()

    def rows(self):
        return self.creating.counts.objects.count()

    def made(self):
        return self.rows() - self.before

    def send(self, browser=None, **over):
        data = {"once": self.once} | self.data | over
        return (browser or self.browser).post(self.address, data)

    def send_another_body(self, **over):
        name, value = self.creating.other
        return self.send(**{name: value}, **over)


@pytest.fixture(scope="module", params=BY_NAME)
def scene(request, django_db_setup, django_db_blocker):
    """Make once what all tests of this form need."""
    form = BY_NAME[request.param]
    with kept(django_db_blocker, lambda: Scene(form, form.ready)) as made:
        yield made


@pytest.fixture
def sender(scene):
    return Sender(scene.copied())


@pytest.fixture
def writer(scene):
    """Return the sender of a form in which something can be typed."""
    return Sender(scene.copied())


def each(forms):
    """Return the mark of a test that takes these forms only."""
    names = [one.name for one in forms]
    return pytest.mark.parametrize("scene", names, indirect=True, scope="module")


def ids_in(answer):
    """Return the ids that the form may be sent with next: its own, then another."""
    found = re.findall(r'name="once"[^>]*?value="([^"]+)"', answer.content.decode())
    return [str(uuid.UUID(one)) for one in found]


PREVIEWED = (
    TakeExpectedForm,
    TakeImportForm,
    TakeListForm,
)
OPENED = each([one for one in ALL if one.form not in PREVIEWED])
"""A preview shows those forms: their ids are tested with their imports."""

TYPED = each([one for one in ALL if one.other])
"""The forms in which something can be typed."""


@OPENED
def test_it_is_shown_with_an_id_of_its_own(sender):
    first, second = (ids_in(sender.browser.get(sender.address)) for _ in range(2))

    assert len(first) == len(second) == 1
    assert first != second


def test_the_same_sending_again_makes_nothing_and_leads_to_the_same_page(sender):
    first, again = sender.send(), sender.send()

    assert (first.status_code, again.status_code) == (302, 302)
    assert first["Location"] == again["Location"]
    assert sender.made() == 1


def test_a_tap_that_looked_before_the_first_was_saved_gets_its_answer(
    sender, monkeypatch
):
    first = sender.send()
    looks = chain([lambda sending: None], repeat(act_view.answer_before))

    def look(sending):
        return next(looks)(sending)

    monkeypatch.setattr(act_view, "answer_before", look)
    second = sender.send()

    assert (second.status_code, second["Location"]) == (302, first["Location"])
    assert sender.made() == 1


@TYPED
def test_another_body_under_the_same_id_is_refused_with_what_was_saved(writer):
    saved = writer.send()["Location"]
    answer = writer.send_another_body()
    page = answer.content.decode()

    assert answer.status_code == 422
    assert "Already saved as " in page
    assert f'href="{escape(saved)}"' in page
    assert (
        writer.creating.other[1]
        in answer.context["form"].body()[writer.creating.other[0]]
    )
    assert writer.made() == 1


@TYPED
def test_the_refused_form_can_be_saved_as_another(writer):
    writer.send()
    own, another = ids_in(writer.send_another_body())
    assert own == writer.once

    # A browser sends the hidden id first, and then the button that was pressed.
    answer = writer.send_another_body(once=[own, another])

    assert "Already saved" not in answer.content.decode()
    assert set(Once.objects.values_list("client_id", flat=True)) <= {
        uuid.UUID(own),
        uuid.UUID(another),
    }


@TYPED
def test_the_id_stays_when_the_form_comes_back_with_a_mistake(writer):
    answer = writer.send(**{writer.creating.needed: ""})

    assert answer.status_code == 422
    assert ids_in(answer) == [writer.once]
    assert writer.send().status_code == 302
    assert writer.made() == 1


@TYPED
def test_an_id_of_another_person_is_unknown(writer):
    is_administrator = writer.person.is_administrator
    other = make_person("other", "Olga Other", is_administrator=is_administrator)
    for row in Assignment.objects.filter(person=writer.person):
        Assignment.objects.create(person=other, location=row.location, role=row.role)
    theirs = Client()
    theirs.force_login(other)
    writer.send(theirs)
    answer = writer.send_another_body()

    assert "Already saved" not in answer.content.decode()


def test_without_a_readable_id_it_is_saved_all_the_same(sender):
    assert sender.send(once="not an id").status_code == 302
    assert sender.made() == 1


def test_the_answer_that_was_given_never_changes(sender):
    sender.send()

    for change in (
        lambda: Once.objects.update(page="/elsewhere/"),
        lambda: Once.objects.all().delete(),
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()


def test_every_creating_form_is_in_the_table():
    assert get_resolver().url_patterns  # every page, and so every form, is loaded
    waiting, found = [HouseForm], set()
    while waiting:
        form = waiting.pop()
        waiting += form.__subclasses__()
        if form.creates:
            found.add(form)

    assert found == {one.form for one in ALL}

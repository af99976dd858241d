"""A scene that costs much is made once for all tests of one line of a table.

It is written in a transaction that stays open while these tests run, each inside a
savepoint of its own (as Django's ``setUpTestData`` does it for a class), and is taken
back after the last of them. Every test gets a copy of what stands in Python.
"""

import copy
from contextlib import contextmanager

from django.conf import settings
from django.db import transaction
from django.test import Client

from tests.people import cast


class Scene:
    """The cast, what one form needs, and a session in which its sender is signed in."""

    def __init__(self, form, prepare):
        self.form = form
        self.who = cast()
        self.address, self.data = prepare(self.who)
        self._session = signed_in(self.person).cookies[settings.SESSION_COOKIE_NAME]

    @property
    def person(self):
        """Return the person who sends the form."""
        return getattr(self.who, self.form.sender)

    def browser(self):
        """Return a new browser in which this person is signed in."""
        browser = Client()
        browser.cookies[settings.SESSION_COOKIE_NAME] = self._session.value
        return browser

    def copied(self):
        """Return a copy for one test; the line of the table is nobody's to change."""
        return copy.deepcopy(self, {id(self.form): self.form})


def signed_in(person):
    """Return a browser in which this person is signed in."""
    browser = Client()
    browser.force_login(person)
    return browser


@contextmanager
def kept(blocker, make):
    """Keep what ``make`` writes for several tests, then take it back."""
    block = transaction.atomic()
    block._from_testcase = True  # durable transactions may begin inside
    with blocker.unblock():
        block.__enter__()
        made = make()
    try:
        yield made
    finally:
        with blocker.unblock():
            transaction.set_rollback(True)
            block.__exit__(None, None, None)

"""Many at once of the same form: one row, and as many times the same answer.

The lines of the four tables ``tests/creating*.py`` are tried one after another, in one
process of as many threads, each with a connection to the database of its own: five in
every run, twenty in the whole form.
"""

import json

import pytest

from tests.creating import CREATING
from tests.creating_books import BOOKS
from tests.creating_money import MONEY
from tests.creating_offers import OFFERS
from tests.creating_partners import PARTNERS
from tests.creating_remittances import REMITTANCES
from tests.creating_returns import RETURNS
from tests.sites import copied_site
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes, pytest.mark.slow]

AT_ONCE = cases(5, 20)

RACE = """
import json, logging, sys, threading, uuid
from django.conf import settings
from django.db import connection, transaction
from django.test import Client
from django.test.utils import setup_test_environment
from inventory.actions.core.events import record_event
from tests.creating import CREATING
from tests.creating_books import BOOKS
from tests.creating_money import MONEY
from tests.creating_offers import OFFERS
from tests.creating_partners import PARTNERS
from tests.creating_remittances import REMITTANCES
from tests.creating_returns import RETURNS
from tests.making import ARRIVED
from tests.people import cast

setup_test_environment()
logging.disable()
settings.PROOF_MINUTES = 0  # whoever is signed in by force showed no password
settings.DRAWN_WITHIN = 60  # on a busy machine a PDF may take any time
made = []
with transaction.atomic():  # the event seals the rows that no act made
    who = cast()
    for creating in [*BOOKS, *CREATING, *MONEY, *OFFERS, *PARTNERS, *REMITTANCES, *RETURNS]:
        made.append((creating, getattr(who, creating.sender), *creating.ready(who)))
    record_event(kind="password.changed", at=ARRIVED, actor=None, location=None,
                 subjects=[], data={})

def race(creating, person, address, data, count):
    before, answers = creating.counts.objects.count(), []
    start = threading.Barrier(count)
    data = data | {"once": str(uuid.uuid4())}

    def send():
        browser = Client(raise_request_exception=False)
        browser.force_login(person)
        start.wait()
        answer = browser.post(address, data)
        answers.append([answer.status_code, answer.get("Location", "")])
        connection.close()

    threads = [threading.Thread(target=send) for _ in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return {"answers": answers, "rows": creating.counts.objects.count() - before}

print(json.dumps({one[0].name: race(*one, int(sys.argv[1])) for one in made}))
"""


@pytest.fixture(scope="module")
def raced(template, tmp_path_factory):
    """Race every form of the table once, in a copied house that is verified after."""
    with copied_site(template, tmp_path_factory.mktemp("race") / "site") as site:
        out, err = site.python(RACE, str(AT_ONCE)).communicate(timeout=600)
        assert out, err
        yield json.loads(out.splitlines()[-1]) | {
            "verified": site.manage("verify", check=False).stdout
        }


@pytest.mark.parametrize(
    "name",
    [
        one.name
        for one in [
            *BOOKS,
            *CREATING,
            *MONEY,
            *OFFERS,
            *PARTNERS,
            *REMITTANCES,
            *RETURNS,
        ]
    ],
)
def test_twenty_at_once_make_one_row_and_get_one_answer(raced, name):
    told = raced[name]

    assert {tuple(answer) for answer in told["answers"]} == {
        (302, told["answers"][0][1])
    }
    assert len(told["answers"]) == AT_ONCE
    assert told["rows"] == 1


def test_nothing_is_left_crooked(raced):
    assert "All well" in raced["verified"]

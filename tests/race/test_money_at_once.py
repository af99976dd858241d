"""Twenty people do the same act on the same money at once: it has one effect.

Each act of ``tests/money_acts.py`` is done once alone, and by five at once (twenty in
the whole form) on a twin of its book, each with a key and a connection of their own.
Both books must then hold the same entries. A quick run takes eight of the acts.
"""

import json

import pytest

from tests.money_acts import ACTS
from tests.sites import copied_site
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes, pytest.mark.slow]

AT_ONCE = cases(5, 20)
QUICK = [
    *("a payment", "a remittance", "a remittance reversed", "a settlement"),
    *("a memo reversed", "a credit paid in part", "a decision undone"),
    "a held credit matched",
]
NAMES = cases(QUICK, [one.name for one in ACTS])

RACE = """
import json, sys, threading
from django.db import connection, transaction
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, StaleRowError
from tests.making import ARRIVED
from tests.money_acts import ACTS, signature
from tests.people import cast

def made(make):
    with transaction.atomic():  # the event seals the rows that no act made
        found = make()
        record_event(kind="password.changed", at=ARRIVED, actor=None, location=None,
                     subjects=[], data={})
    return found

who = made(cast)

def race(act, many):
    told, start = [], threading.Barrier(many)
    partner, call = made(lambda: act.ready(who))
    before = signature(partner)

    def go(number):
        start.wait()
        try:
            call(number)
            told.append("done")
        except (RefusedError, StaleRowError) as error:
            told.append(f"refused: {error}")
        except Exception as error:
            told.append(f"failed: {error!r}")
        connection.close()

    threads = [threading.Thread(target=go, args=[number]) for number in range(many)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return {"told": told, "before": before, "after": signature(partner)}

many, names = int(sys.argv[1]), sys.argv[2:]
print(json.dumps({act.name: [race(act, 1), race(act, many)] for act in ACTS
                  if act.name in names}))
"""

EACH = pytest.mark.parametrize("name", NAMES)


@pytest.fixture(scope="module")
def raced(template, tmp_path_factory):
    """Race every act once, in a copied house that is verified after."""
    with copied_site(template, tmp_path_factory.mktemp("money") / "site") as site:
        out, err = site.python(RACE, str(AT_ONCE), *NAMES).communicate(timeout=900)
        assert out, err
        yield json.loads(out.splitlines()[-1]) | {
            "verified": site.manage("verify", check=False).stdout
        }


@EACH
def test_many_at_once_have_the_effect_of_one(raced, name):
    alone, together = raced[name]

    assert alone["told"] == ["done"]
    assert alone["after"] != alone["before"], "The act moves no money."
    assert together["before"] == alone["before"]
    assert together["after"] == alone["after"]
    assert len(together["told"]) == AT_ONCE
    assert "done" in together["told"]
    assert not [words for words in together["told"] if words.startswith("failed")]


def test_nothing_is_left_crooked(raced):
    assert "All well" in raced["verified"]

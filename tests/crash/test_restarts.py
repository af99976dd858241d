"""Database and web process restarted in the midst of acts: none lost, none doubled."""

import html
import http.client
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
import uuid

import pytest

from tests.crash.cluster import BINARIES, own_cluster
from tests.prepared import postgres_template
from tests.sites import Server, _copied_database, _opened
from tests.sizes import cases

pytestmark = [
    pytest.mark.database,
    pytest.mark.processes,
    pytest.mark.slow,
    pytest.mark.skipif(not BINARIES, reason="no PostgreSQL server is installed here"),
]

ACTS = cases(30, 200)
TOKEN = "a" * 32

SIGN_IN = """
from django.db import transaction
from django.test import Client
from inventory.actions.core.events import record_event
from tests.making import ARRIVED
from tests.people import cast
with transaction.atomic():  # the event seals the rows that no act made
    who = cast()
    record_event(kind="password.changed", at=ARRIVED, actor=None, location=None,
                 subjects=[], data={})
browser = Client()
browser.force_login(who.rosa)
print(browser.cookies["sessionid"].value)
"""

COUNT = """
from inventory.models import Delivery
print("\\n".join(Delivery.objects.values_list("driver_name", flat=True)))
"""


class _Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_args):
        return None


class Sender:
    """Sends acts until each is acknowledged, as a patient person does."""

    def __init__(self, address, session):
        self.address = f"{address}/deliveries/new/"
        self.cookies = f"sessionid={session}; csrftoken={TOKEN}"
        self.open = urllib.request.build_opener(_Stay).open
        self.done, self.refused, self.lost_words = [], 0, []

    def send(self, number):
        typed = {
            "csrfmiddlewaretoken": TOKEN,
            "once": str(uuid.uuid5(uuid.NAMESPACE_OID, f"act {number}")),
            "carrier_name": "Heron Freight",
            "arrived_at": "2026-03-10 09:15",
            "driver_name": f"Driver {number} of Heron",
        }
        until = time.monotonic() + 60
        while time.monotonic() < until:
            status = self._once(typed)
            if status == 302:
                self.done.append(typed["driver_name"])
                return
            time.sleep(0.1)
        raise AssertionError(f"{typed['driver_name']} was never taken: {status}")

    def _once(self, typed):
        body = urllib.parse.urlencode(typed).encode()
        asked = urllib.request.Request(
            self.address, body, headers={"Cookie": self.cookies}
        )
        try:
            self.open(asked, timeout=30)
        except urllib.error.HTTPError as answer:
            if answer.code != 302:
                self._judge(answer, typed)
            return answer.code
        except (OSError, http.client.HTTPException) as error:  # the web process is gone
            return error

    def _judge(self, answer, typed):
        page = html.unescape(answer.read().decode())
        assert answer.code == 503, page[-2000:]
        self.refused += 1
        if not all(typed[name] in page for name in ("driver_name", "carrier_name")):
            self.lost_words.append(page)


@pytest.fixture(scope="module")
def cluster():
    with own_cluster() as cluster:
        yield cluster


@pytest.fixture
def site(cluster, tmp_path):
    template = postgres_template(cluster.url)
    with _copied_database(cluster.url, template) as url, _opened(tmp_path, url) as site:
        yield site


def restarted_amid_acts(site, restart):
    """Send all acts while ``restart(server)`` is called in their midst."""
    out, _ = site.python(SIGN_IN).communicate(timeout=120)
    server = Server(site)
    server.start()
    try:
        sender = Sender(server.address, out.strip().splitlines()[-1])
        thread = None
        for number in range(ACTS):
            if number == ACTS // 2:
                thread = threading.Thread(target=restart, args=[server])
                thread.start()
            sender.send(number)
        thread.join()
    finally:
        server.stop()
    found, _ = site.python(COUNT).communicate(timeout=120)
    kept = found.strip().splitlines()
    assert sorted(kept) == sorted(sender.done)  # none lost, none doubled
    assert len(set(kept)) == ACTS
    assert not sender.lost_words
    site.manage("verify")
    return sender


def test_a_restarted_database_loses_and_doubles_nothing(site, cluster):
    def restart(server):
        cluster.stop()
        with urllib.request.urlopen(f"{server.address}/healthz", timeout=20) as answer:
            assert answer.status == 200
        time.sleep(1)
        cluster.start()

    assert restarted_amid_acts(site, restart).refused > 0


def test_a_killed_web_process_loses_and_doubles_nothing(site):
    def restart(server):
        server.kill()
        server.start()

    restarted_amid_acts(site, restart)

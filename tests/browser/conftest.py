"""One Chromium for all tests here, a served site for each file, a tab for each test.

Files share no rows: whatever order they run in, no file counts another's crates.
"""

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.visitor import Visitor
from tests.chromium import find_chromium
from tests.sites import PASSWORD, Server, copied_site, served, template_site

PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
DESK = {"viewport": {"width": 1366, "height": 768}}
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
_CAST = """
import sys
from inventory.models import User
from tests.people import cast
people = vars(cast())
for person in people.values():
    if isinstance(person, User):
        person.set_password(sys.argv[1])
        person.save()
"""


_LOSS = """
from datetime import timedelta
from django.utils import timezone
from claims.models import FindingPart
from tests import making, people
came = timezone.now() - timedelta(days=3)
bill = making.make_shipment(pro_number="PRO-330815", pieces_billed=1)
truck = making.make_signed_delivery(
    carrier=bill.carrier, arrived_at=came
)
making.make_handover(truck, bill)
crate = making.make_crate(
    bill,
    delivery=truck,
    mark="HT-330815",  # scenes of other tests make marks of their own: HT-001, HT-002
    look="clear",
    opened_at=came,
    opened_on=making.day_of(came),
)
unit = making.make_unit(bill, crate=crate, serial="TX48-33081")
look = making.make_inspection(
    unit=unit, crate=crate, looked_at=came, looked_on=making.day_of(came)
)
found = making.make_finding(look, unit=unit)
FindingPart.objects.create(
    finding=found, description="Deck shell", quantity=1, price_cents=31_000
)
"""


@pytest.fixture(scope="session")
def peopled(tmp_path_factory):
    """A site with the cast in it that each file gets a copy of."""
    folder = tmp_path_factory.mktemp("template")
    with (
        template_site(folder) as template,
        copied_site(template, tmp_path_factory.mktemp("peopled") / "site") as site,
    ):
        maker = site.python(_CAST + _LOSS, PASSWORD)
        told = maker.communicate()[1]
        assert maker.returncode == 0, told
        yield site


@pytest.fixture(scope="module")
def site(peopled, tmp_path_factory):
    """This file's own site."""
    with copied_site(peopled, tmp_path_factory.mktemp("served") / "site") as site:
        yield site


@pytest.fixture(scope="module")
def address(site):
    """Serve the site."""
    with served(site) as where:
        yield where


@pytest.fixture
def server(peopled, tmp_path):
    """Serve a copy that a test may stop, kill and start again.

    Of the site that nobody serves: another's live sockets and half-written pages of its
    database are nothing to copy.
    """
    with copied_site(peopled, tmp_path / "own") as own:
        server = Server(own)
        server.start()
        yield server
        server.stop()


@pytest.fixture(scope="session")
def chromium():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_chromium(), args=CHROMIUM_ARGS
        )
        yield browser
        browser.close()


@pytest.fixture
def phone(chromium, address):
    """A visitor with a phone in the hand."""
    yield from _visitor(chromium, address, PHONE)


@pytest.fixture
def desk(chromium, address):
    """A visitor at a desk."""
    yield from _visitor(chromium, address, DESK)


def _visitor(chromium, address, size):
    context = chromium.new_context(**size)
    context.set_default_timeout(15_000)
    yield Visitor(context.new_page(), address)
    context.close()

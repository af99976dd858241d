"""An empty company to its first signed truck: every tap and every field is counted.

The administrator enters the company at a desk, the clerk signs the test truck on a
phone. A tap is a press on a field, a list, one of its lines, a tile or a button; a
field is one that is typed in or chosen from. Limits: 45 taps and 25 fields, our own.
"""

import re

import pytest

from claims.rules.core.first_day import BOARDS
from tests.browser.conftest import DESK, PHONE
from tests.browser.geometry import complaints_of
from tests.browser.visitor import Visitor
from tests.pictures import jpeg
from tests.sites import PASSWORD, served, template_site

pytestmark = pytest.mark.browser

MOST_TAPS = 45
MOST_FIELDS = 25


@pytest.fixture(scope="module")
def company(tmp_path_factory):
    """Serve a company that has its first administrator and nothing else."""
    with template_site(tmp_path_factory.mktemp("company")) as site:
        words = ("first_administrator", "ada", "Ada Marlow")
        said = site.manage(*words, text=f"{PASSWORD}\n").stdout
        assert "can now sign in" in str(said)
        with served(site) as address:
            yield address


class Hand:
    """One hand on the page: it taps and fills in, and counts both."""

    def __init__(self, chromium, address, size):
        self.context = chromium.new_context(**size)
        self.context.set_default_timeout(20_000)
        self.visitor = Visitor(self.context.new_page(), address)
        self.page = self.visitor.page
        self.taps = self.fields = 0

    def type(self, name, text):
        """Tap a field and type in it."""
        self.page.locator(f"[name={name}]").fill(text)
        self.taps += 1
        self.fields += 1

    def pick(self, name, words):
        """Open a list and tap one of its lines."""
        self.page.locator(f"select[name={name}]").select_option(label=words)
        self.taps += 2
        self.fields += 1

    def choose(self, words):
        """Tap one of the choices that are in sight: a field that is chosen from."""
        self.page.get_by_text(words, exact=True).click()
        self.taps += 1
        self.fields += 1

    def press(self, target):
        """Tap a button or a link, and look at what opens."""
        with self.page.expect_navigation():
            target.click()
        self.taps += 1
        self.visitor.look()

    def button(self, words):
        self.press(self.page.get_by_role("button", name=words))

    def link(self, words):
        self.press(self.page.get_by_role("link", name=words))

    def photo(self, field):
        """Tap the camera once."""
        shot = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
        camera = self.page.locator(f"[data-strip={field}] .tile-camera input")
        camera.set_input_files(shot)
        self.page.locator(f"[data-strip={field}] [data-state=sent]").wait_for()
        self.taps += 1

    def sign_in(self, name):
        self.visitor.open("/")
        self.type("username", name)
        self.type("password", PASSWORD)
        self.button("Sign in")

    def counted(self):
        """Return taps and fields since this was last asked."""
        done = (self.taps, self.fields)
        self.taps = self.fields = 0
        return done


@pytest.fixture
def hand(chromium, company):
    """Return a hand at a desk or on a phone; its tabs are closed at the end."""
    hands = []

    def made(size):
        hands.append(Hand(chromium, company, size))
        return hands[-1]

    yield made
    for one in hands:
        one.context.close()


def test_from_an_empty_company_to_its_first_signed_truck(hand):
    ada = hand(DESK)
    ada.sign_in("ada")
    assert ada.page.url.endswith("/welcome/")
    counts = {"sign in": ada.counted()}

    ada.type("name", "East Tallow")
    ada.type("code", "ET")
    ada.type("address", "1 Mill Road\nEast Tallow, IA 50001")
    ada.pick("region", "Iowa")
    ada.pick("time_zone", "Central time")
    ada.button("Save, go to people")
    counts["location"] = ada.counted()

    ada.type("full_name", "Rosa Field")
    ada.type("username", "rosa")
    ada.type("password", PASSWORD)
    ada.choose("Receiving clerk")
    ada.button("Save, go to suppliers")
    counts["people"] = ada.counted()

    ada.type("name", "Cinderbrook Mowers")
    ada.type("claims_email", "returns@cinderbrook.example")
    ada.type("crate_type", "Steel-foot crate, 52 in")
    ada.type("deposit", "185.00")
    ada.type("full_days", "90")
    ada.button("Save, go to carriers")
    counts["suppliers"] = ada.counted()

    ada.type("name", "Gannet Overland")
    ada.type("scac", "GNOV")
    ada.type("claims_address", "Box 12\nOmaha, NE 68101")
    ada.button("Save, go to accounts")
    counts["carriers"] = ada.counted()

    ada.button("Use these numbers")
    counts["accounts"] = ada.counted()
    assert "Rosa Field" in ada.page.locator(".boards .now").inner_text()

    rosa = hand(PHONE)
    counts["truck"] = first_truck(rosa)
    for key, (taps, fields) in counts.items():
        print(f"{key}: {taps} taps, {fields} fields")
    taps, fields = (sum(one) for one in zip(*counts.values(), strict=True))
    print(f"{taps} taps, {fields} fields")
    assert taps <= MOST_TAPS
    assert fields <= MOST_FIELDS
    for board in BOARDS:  # what the page says of its cost is true
        assert counts[board.key] == (board.taps, board.fields), board.key

    ada.visitor.open("/welcome/")
    assert ada.page.locator(".boards > .done").count() == 6
    assert ada.page.get_by_role("link", name="Welcome", exact=True).count() == 0
    takes_back(rosa)


def first_truck(rosa):
    """Sign in, start the test truck, count, inspect and sign; return the count."""
    page = rosa.page
    rosa.sign_in("rosa")
    rosa.link(re.compile("^Try it with a test truck"))
    rosa.button("Start the test truck")
    rosa.button("All 2 here")
    with page.expect_navigation():
        page.locator("form[data-sends-itself] input[type=file]").set_input_files(
            {"name": "load.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
        )
    rosa.taps += 1
    rosa.visitor.look()
    rosa.button("No visible damage on all 2")
    rosa.link("Exceptions to write")
    page.locator(
        "label", has_text=re.compile("With our exceptions", re.IGNORECASE)
    ).first.tap()
    rosa.taps += 1
    rosa.photo("photo")
    rosa.button(re.compile("^Sign"))
    assert re.search(r"/deliveries/\d+/$", page.url), page.url
    assert "Test truck" in page.locator("main").inner_text()
    return rosa.counted()


def takes_back(rosa):
    """Take the test truck back with one tap; the dock no longer knows it."""
    rosa.button("Take the test truck back")
    assert rosa.counted() == (1, 0)
    assert rosa.page.url.endswith("/dock/")
    assert "Gannet Overland" not in rosa.page.locator(".signed").inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_boards_fit_a_phone(hand, scheme):
    ada = hand(PHONE | {"color_scheme": scheme})
    ada.sign_in("ada")
    for board in BOARDS:
        assert ada.visitor.open(f"/welcome/{board.key}/") == 200
        assert complaints_of(ada.page, least_act=56) == [], board.key
    ada.page.set_viewport_size({"width": 320, "height": 640})
    ada.visitor.open("/welcome/suppliers/")

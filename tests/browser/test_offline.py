"""Nothing is lost without signal: what waits on the phone arrives, and arrives once."""

import hashlib
import json
import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.dockside import (
    chip,
    fill_exception,
    photo,
    photos_of,
    run,
    save_exception,
    truck_at_dock,
)
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

expect.set_options(timeout=20_000)

SHOTS = [photo(f"{n}.jpg", (n * 40, 90, 60)) for n in (1, 2, 3)]
HASHES = {hashlib.sha256(one["buffer"]).hexdigest() for one in SHOTS}

_SIGN_OUT_ALL = """
from django.contrib.sessions.models import Session
Session.objects.all().delete()
print("out")
"""
_TRUCKS = """
import json
from inventory.models import Delivery
rows = Delivery.objects.filter(carrier__name="Wrenfield Hauling")
print(json.dumps([[row.pk, row.evidence.count()] for row in rows]))
"""
_CLOCKS = """
import json
from inventory.models import Event
print(json.dumps(Event.objects.get(kind="delivery.phone-clock").data))
"""
_TAKE_ROLE = """
import sys
from inventory.models import Assignment, Location
elsewhere = Location.objects.get(code="HIL")
Assignment.objects.filter(person__username=sys.argv[1]).update(location=elsewhere)
print("taken")
"""


_LOAD_PHOTO = """
import sys
from inventory.models import Delivery
from tests.making import make_evidence
make_evidence(delivery=Delivery.objects.get(pk=sys.argv[1]), kind="load")
print("made")
"""
_CLEAR = """
import sys
from inventory.models import Crate
Crate.objects.filter(pk=sys.argv[1]).update(look="clear", version=2)
print("inspected")
"""


class Phone:
    """One phone with its own storage, at one server."""

    def __init__(self, chromium, server, zone="America/Chicago"):
        self.context = chromium.new_context(**PHONE, timezone_id=zone)
        self.context.set_default_timeout(15_000)
        self.server = server
        self.new_tab()

    def new_tab(self):
        self.page = self.context.new_page()
        self.visitor = Visitor(self.page, self.server.address)

    def close_tab(self):
        self.page.close()

    def sign_in(self, who, then):
        self.visitor.complaints.clear()  # what failed without signal is no news
        self.visitor.sign_in(who, then=then)
        ready(self.page)

    def open(self, path):
        self.page.goto(self.server.address + path)

    @property
    def line(self):
        return self.page.locator("#phone-line")


_UNTIL = """async ([store, wanted]) => {
  const count = () => new Promise((done, fail) => {
    const ask = indexedDB.open("dock");
    ask.onerror = () => fail(ask.error);
    ask.onsuccess = () => {
      const base = ask.result;
      if (!base.objectStoreNames.contains(store)) { base.close(); done(-1); return; }
      const rows = base.transaction(store).objectStore(store).count();
      rows.onsuccess = () => { base.close(); done(rows.result); };
    };
  });
  let found;
  for (let turn = 0; turn < 200; turn += 1) {
    found = await count();
    if (found === wanted) return found;
    await new Promise((done) => setTimeout(done, 50));
  }
  return found;
}"""


def stored(page, store, wanted):
    """Wait until the phone keeps this many rows."""
    assert page.evaluate(_UNTIL, [store, wanted]) == wanted


def ready(page):
    """Wait until the phone has its person's key and its service worker."""
    stored(page, "keys", 1)
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")


def all_sent(phone):
    """Wait until nothing is kept on the phone, and nothing is said to be."""
    stored(phone.page, "items", 0)
    expect(phone.line).to_have_count(0)


@pytest.fixture
def phones(chromium, server):
    made = []

    def make(**how):
        made.append(Phone(chromium, server, **how))
        return made[-1]

    yield make
    for one in made:
        one.context.close()


@pytest.fixture
def phone(phones):
    return phones()


def take(page, shots):
    page.locator(".tile-gallery input").set_input_files(shots)


def waiting_tiles(page, count):
    expect(page.locator(".tile[data-state=failed]")).to_have_count(count)


def queue_three_photos_and_a_form(phone):
    take(phone.page, SHOTS)
    waiting_tiles(phone.page, 3)
    fill_exception(phone.page, "Fork hole 20 cm")
    save_exception(phone.page)
    expect(phone.page.locator(".saved-here")).to_be_visible()
    expect(phone.line).to_contain_text("3 photos and 1 form waiting")


def arrived(site, crate, who="rosa", findings=1):
    rows = photos_of(site, crate)
    assert sorted(row[1] for row in rows) == sorted(HASHES)
    assert {row[2] for row in rows} == {who}
    assert {row[3] for row in rows} == {findings}


def test_the_network_goes_and_comes_back(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "NET-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    phone.context.set_offline(True)
    queue_three_photos_and_a_form(phone)
    assert "No signal. Saved on this phone." in phone.line.inner_text()
    assert photos_of(server.site, crate) == []

    phone.close_tab()
    phone.context.set_offline(False)
    phone.new_tab()
    phone.open("/dock/")
    all_sent(phone)
    arrived(server.site, crate)


def test_the_server_stops_and_starts(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "SRV-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    server.stop()
    queue_three_photos_and_a_form(phone)
    phone.close_tab()

    phone.new_tab()
    phone.open("/dock/")
    expect(phone.page.get_by_role("heading", level=1)).to_have_text("No signal")
    expect(phone.line).to_contain_text("3 photos and 1 form waiting")
    server.start()
    phone.line.get_by_role("button", name="Send now (4)").tap()
    all_sent(phone)
    arrived(server.site, crate)


def test_the_session_ends_in_between(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "SES-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    phone.context.set_offline(True)
    queue_three_photos_and_a_form(phone)
    run(server.site, _SIGN_OUT_ALL)
    phone.context.set_offline(False)
    phone.open("/dock/")

    expect(phone.line).to_contain_text(
        "Sign in again. 3 photos and 1 form are safe on this phone."
    )
    assert "Crate" not in phone.line.inner_text(), "a sign-in page shows numbers only"
    phone.sign_in("rosa", then="/dock/")
    all_sent(phone)
    arrived(server.site, crate)


def test_two_phones_at_one_truck(server, phones):
    _truck, crate, other = truck_at_dock(server.site, "TWO-1")
    first, second = phones(), phones()
    first.sign_in("rosa", then=f"/crates/{crate}/look/")
    second.sign_in("mina", then=f"/crates/{other}/look/")
    for phone in (first, second):
        phone.context.set_offline(True)
        queue_three_photos_and_a_form(phone)
    for phone in (first, second):
        phone.context.set_offline(False)
        phone.open("/dock/")
        all_sent(phone)

    arrived(server.site, crate, "rosa")
    arrived(server.site, other, "mina")


def test_the_server_is_killed_with_the_answer_on_its_way(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "KIL-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    killed = []

    def cut(route):
        if not killed:
            route.fetch()  # it is saved, and its answer is lost
            killed.append(server.kill())
        route.abort()

    phone.page.route("**/photos/capture/**", cut)
    queue_three_photos_and_a_form(phone)
    assert len(photos_of(server.site, crate)) == 1
    phone.close_tab()
    server.start()
    phone.new_tab()
    phone.open("/dock/")

    all_sent(phone)
    arrived(server.site, crate)


def test_a_form_whose_answer_is_lost_is_saved_once(server, phone):
    truck, crate, _other = truck_at_dock(server.site, "ANS-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    take(phone.page, SHOTS)
    expect(phone.page.locator(".tile[data-state=sent]")).to_have_count(3)
    fill_exception(phone.page)

    def lose(route):
        route.fetch(max_redirects=0)
        route.abort()

    phone.page.route("**/look/", lose)
    save_exception(phone.page)
    expect(phone.page.locator(".saved-here")).to_be_visible()
    phone.page.unroute("**/look/")
    phone.open(f"/deliveries/{truck}/tailgate/")

    all_sent(phone)
    arrived(server.site, crate)


def test_a_truck_logged_without_signal_comes_before_its_photo(server, phone):
    phone.sign_in("rosa", then="/dock/")
    server.stop()
    phone.open("/dock/")
    page = phone.page
    page.get_by_label("Carrier").fill("Wrenfield Hauling")
    take(page, SHOTS[:1])
    waiting_tiles(page, 1)
    page.get_by_role("button", name="Log a truck").tap()
    expect(page.locator(".saved-here")).to_be_visible()
    expect(phone.line).to_contain_text("1 photo and 1 form waiting")
    server.start()
    phone.line.get_by_role("button", name="Send now (2)").tap()

    all_sent(phone)
    ((_key, count),) = json.loads(run(server.site, _TRUCKS))
    assert count == 1


def test_a_phone_that_traveled_shows_the_docks_time_and_hears_that_its_clock_is_off(
    server, phones
):
    phone = phones(zone="America/Denver")
    slow = datetime.now(UTC) - timedelta(hours=2)
    phone.context.clock.set_fixed_time(slow)
    phone.sign_in("rosa", then="/dock/")
    server.stop()
    phone.open("/dock/")
    page = phone.page
    here = slow.astimezone(ZoneInfo("America/Chicago"))
    expect(page.get_by_label("Arrived")).to_have_value(f"{here:%Y-%m-%dT%H:%M}")
    page.get_by_label("Carrier").fill("Millrace Cartage")
    page.get_by_role("button", name="Log a truck").tap()
    expect(page.locator(".saved-here")).to_be_visible()
    server.start()
    phone.line.get_by_role("button", name="Send now (1)").tap()
    all_sent(phone)
    phone.open("/dock/")

    said = re.compile(r"This phone's clock is 2 h (\d min )?behind\.")  # a slow machine
    expect(page.get_by_text(said)).to_be_visible()
    told = json.loads(run(server.site, _CLOCKS))
    assert re.fullmatch(r"2 h (\d min )?behind", told["off"])


def test_the_shift_is_shown_without_signal_and_not_to_the_next_person(server, phone):
    truck, _crate, _other = truck_at_dock(server.site, "SHI-1")
    phone.sign_in("rosa", then=f"/deliveries/{truck}/tailgate/")
    stored(phone.page, "shift", 1)
    server.stop()
    phone.open("/dock/")
    shift = phone.page.locator("#shift")
    expect(shift.locator("li")).to_have_count(1)
    assert "SHI-1" in shift.locator("li").text_content()

    server.start()
    phone.sign_in("tomas", then="/bench/")
    server.stop()
    phone.open("/bench/")
    expect(phone.page.get_by_role("heading", level=1)).to_have_text("No signal")
    expect(shift.locator("li")).to_have_count(0)


def test_signing_out_forgets_the_key_and_keeps_the_photos_for_a_colleague(
    server, phone
):
    _truck, crate, _other = truck_at_dock(server.site, "OUT-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    phone.page.route("**/photos/capture/**", lambda route: route.abort())
    take(phone.page, SHOTS)
    waiting_tiles(phone.page, 3)
    phone.page.unroute("**/photos/capture/**")
    phone.page.route("**/phone/me/", lambda route: route.abort())
    phone.page.locator("details.switch > summary").tap()
    with phone.page.expect_navigation():
        phone.page.get_by_role("button", name="Sign out").click()
    expect(phone.line).to_contain_text("Rosa Field: 3 photos waiting.")
    phone.page.unroute("**/phone/me/")
    assert photos_of(server.site, crate) == []

    phone.sign_in("tomas", then="/bench/")
    all_sent(phone)
    arrived(server.site, crate, "rosa", findings=0)


def test_after_the_role_is_lost_it_stays_and_says_who_can_send_it(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "ROL-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    phone.context.set_offline(True)
    take(phone.page, SHOTS)
    waiting_tiles(phone.page, 3)
    phone.close_tab()
    run(server.site, _TAKE_ROLE, "rosa")
    phone.context.set_offline(False)
    phone.new_tab()
    phone.open("/")

    expect(phone.line).to_contain_text("A receiving clerk", timeout=15_000)
    expect(phone.line).to_contain_text("at Riverside can send it from this phone")
    assert photos_of(server.site, crate) == []


def test_a_form_that_was_not_taken_is_opened_again_as_it_was(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "MND-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    page = phone.page
    phone.context.set_offline(True)
    take(page, SHOTS)
    waiting_tiles(page, 3)
    fill_exception(page, "Fork hole 20 cm", severity="")
    save_exception(page)
    expect(page.locator(".saved-here")).to_be_visible()
    phone.context.set_offline(False)
    phone.open("/dock/")
    expect(phone.line).to_contain_text("Not saved. ")

    phone.line.get_by_role("link", name="Open it as you sent it").tap()
    expect(page.locator("[name=note]")).to_have_value("Fork hole 20 cm")
    assert page.locator("[name=where][value=side-4]").is_checked()
    chip(page, "Severe").tap()
    with page.expect_navigation():
        save_exception(page)
    all_sent(phone)
    arrived(server.site, crate)


def test_a_tap_that_was_refused_later_stays_until_it_is_seen(server, phone):
    truck, crate, _other = truck_at_dock(server.site, "TAP-1")
    phone.sign_in("rosa", then=f"/deliveries/{truck}/tailgate/")
    page = phone.page
    run(server.site, _LOAD_PHOTO, truck)
    page.reload()
    phone.context.set_offline(True)
    page.get_by_role("button", name="No visible damage on all 2").tap()
    expect(page.locator(".saved-here")).to_be_visible()
    run(server.site, _CLEAR, crate)
    phone.context.set_offline(False)
    phone.open("/dock/")

    refused = phone.line.locator("li.look")
    expect(refused).to_contain_text("No visible damage on all 2")
    expect(refused).to_contain_text("Not saved. ")
    expect(refused).to_contain_text("Nothing was changed.")
    phone.open("/dock/")  # a message would be gone by now
    expect(refused).to_contain_text("Not saved. ")
    refused.get_by_role("link", name="Open the page and tap again").tap()
    page.wait_for_url(f"**/deliveries/{truck}/tailgate/")
    expect(
        page.get_by_role("button", name="No visible damage on the other crate")
    ).to_have_count(1)
    refused.get_by_role("button", name="Seen, remove it").tap()
    all_sent(phone)


def test_the_photo_of_the_load_waits_too(server, phone):
    truck, _crate, _other = truck_at_dock(server.site, "LOD-1")
    phone.sign_in("rosa", then=f"/deliveries/{truck}/tailgate/")
    server.stop()
    camera = phone.page.locator("form.camera input[type=file]")
    camera.set_input_files(SHOTS[0])
    expect(phone.line).to_contain_text("1 photo waiting")
    server.start()
    phone.line.get_by_role("button", name="Send now (1)").tap()

    all_sent(phone)
    ((_key, sha256, who, _findings, _truck),) = [
        row for row in photos_of(server.site) if row[4] == truck
    ]
    assert (sha256 in HASHES, who) == (True, "rosa")


def test_the_worker_keeps_no_page_of_anybodys_and_drops_old_ones(server, phone):
    phone.page.goto(f"{server.address}/healthz")
    phone.page.evaluate("() => caches.open('dock-of-before')")
    phone.sign_in("rosa", then="/dock/")
    phone.page.reload()
    kept = phone.page.evaluate(
        """async () => {
          const names = await caches.keys();
          const found = [];
          for (const name of names) {
            const asked = await (await caches.open(name)).keys();
            found.push(...asked.map((one) => new URL(one.url).pathname));
          }
          return [names, found];
        }"""
    )

    assert len(kept[0]) == 1
    assert kept[0][0] != "dock-of-before"
    assert {one for one in kept[1] if not one.startswith("/static/")} == {"/offline/"}


_AGE = """async ([store, field, by]) => {
  const base = await new Promise((done) => {
    const ask = indexedDB.open("dock");
    ask.onsuccess = () => done(ask.result);
  });
  const turn = base.transaction(store, "readwrite");
  const rows = turn.objectStore(store);
  const all = rows.getAll();
  all.onsuccess = () => all.result.forEach((row) => rows.put({ ...row, [field]: row[field] - by }));
  await new Promise((done) => { turn.oncomplete = done; });
  base.close();
}"""
HOUR = 60 * 60 * 1000


def test_what_waits_over_a_day_is_said_loudly_and_outlives_the_shift(server, phone):
    truck, crate, _other = truck_at_dock(server.site, "OLD-1")
    phone.sign_in("rosa", then=f"/deliveries/{truck}/tailgate/")
    stored(phone.page, "shift", 1)
    phone.open(f"/crates/{crate}/look/")
    server.stop()
    take(phone.page, SHOTS)
    waiting_tiles(phone.page, 3)
    for store, field in (("items", "created"), ("shift", "at"), ("keys", "until")):
        phone.page.evaluate(_AGE, [store, field, 25 * HOUR])
    phone.open("/dock/")

    expect(phone.line).to_contain_text("Waiting for more than a day.")
    expect(phone.line).to_contain_text("Rosa Field: 3 photos waiting.")
    expect(phone.page.locator("#nobody")).to_be_visible()
    stored(phone.page, "shift", 0)
    stored(phone.page, "items", 3)


def test_a_phone_that_is_nearly_full_says_so_loudly(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "FUL-1")
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    phone.context.set_offline(True)
    take(phone.page, SHOTS[:1])
    waiting_tiles(phone.page, 1)
    full = "This phone is nearly full. Send what waits before you take more photos."
    for used, count in ((80, 0), (81, 1)):
        phone.page.evaluate(
            "(usage) => { navigator.storage.estimate = async () => ({ usage, quota: 100 });"
            " dispatchEvent(new Event('dock-queue')); }",
            used,
        )
        expect(phone.line.get_by_text(full)).to_have_count(count)
    assert (
        phone.line.get_by_text(full).evaluate(
            "(one) => Number(getComputedStyle(one).fontWeight)"
        )
        >= 700
    )


def test_what_waits_is_said_loudly_after_a_day_by_the_phones_clock(server, phone):
    _truck, crate, _other = truck_at_dock(server.site, "DAY-1")
    begun = datetime.now(UTC)
    phone.context.clock.set_fixed_time(begun)
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    phone.context.set_offline(True)
    take(phone.page, SHOTS[:1])
    waiting_tiles(phone.page, 1)
    said = "Waiting for more than a day. Go where there is signal and send it now."
    for hours, count in ((24, 0), (25, 1)):
        phone.context.clock.set_fixed_time(begun + timedelta(hours=hours))
        phone.page.evaluate("() => dispatchEvent(new Event('dock-queue'))")
        expect(phone.line).to_contain_text("Rosa Field: 1 photo waiting.")  # drawn anew
        expect(phone.line.get_by_text(said)).to_have_count(count)


def test_a_phone_without_https_is_told_so(server, phone):
    truck, _crate, _other = truck_at_dock(server.site, "TLS-1")
    phone.sign_in("rosa", then="/dock/")
    phone.page.add_init_script(
        "Object.defineProperty(globalThis, 'isSecureContext', { value: false })"
    )
    phone.open(f"/deliveries/{truck}/tailgate/")

    said = "Without HTTPS this phone keeps nothing while there is no signal."
    expect(phone.page.get_by_text(said)).to_be_visible()

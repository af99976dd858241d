"""The first load of the dock on a phone stays small: docks have poor signal.

At most 60 KB compressed, as our own product asks; from no outside source. It counts
the page, its styles, scripts and fonts as they come over the wire; photos are not the
page's own, and ask each time, so that one just withheld is not shown. The second visit
takes at most 15 KB, and asks of no other file whether it changed.
"""

import pytest

from tests.browser.conftest import PHONE
from tests.browser.dock_scene import SCENE
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

MOST_BYTES = 60_000
MOST_AGAIN = 15_000
_TRANSFERS = """() => performance.getEntriesByType("navigation")
  .concat(performance.getEntriesByType("resource"))
  .map((one) => [new URL(one.name).pathname, one.encodedBodySize, one.decodedBodySize])"""
_PHOTOS = "/evidence/"


@pytest.fixture(scope="module")
def cookies(site, chromium, address):
    """What a signed-in phone at a dock with trucks shows of itself."""
    maker = site.python(SCENE)
    told = maker.communicate()[1]
    assert maker.returncode == 0, told
    signed_in = chromium.new_context(**PHONE)
    Visitor(signed_in.new_page(), address).sign_in("rosa")
    found = signed_in.cookies()
    signed_in.close()
    return found


@pytest.fixture
def phone(chromium, cookies):
    """Open a signed-in phone with nothing in its cache."""
    fresh = chromium.new_context(**PHONE, service_workers="block")
    fresh.add_cookies(cookies)
    yield fresh
    fresh.close()


def test_the_first_load_of_the_dock_is_small(phone, address):
    page = phone.new_page()
    page.goto(f"{address}/dock/", wait_until="networkidle")
    assert "Gannet Overland 1" in page.locator("main").inner_text()
    parts = [one for one in page.evaluate(_TRANSFERS) if _PHOTOS not in one[0]]

    for path, sent, whole in parts:
        print(f"{sent:7,} of {whole:7,} bytes  {path}")
    total = sum(sent for _, sent, _ in parts)
    print(f"{total:7,} bytes in {len(parts)} files")
    assert len(parts) > 10, parts
    assert all(sent for _, sent, _ in parts), "nothing came from a cache"
    assert total <= MOST_BYTES


def test_the_second_visit_asks_for_the_page_alone(phone, address):
    page = phone.new_page()
    page.goto(f"{address}/dock/", wait_until="networkidle")
    page.goto("about:blank")
    paths, asked, sent = {}, {}, {}
    network = phone.new_cdp_session(page)
    network.on(
        "Network.requestWillBeSent",
        lambda told: paths.update({told["requestId"]: told["request"]["url"]}),
    )
    network.on(
        "Network.requestWillBeSentExtraInfo",
        lambda told: asked.update({told["requestId"]: told["headers"]}),
    )
    network.on(
        "Network.loadingFinished",
        lambda told: sent.update({told["requestId"]: told["encodedDataLength"]}),
    )
    network.send("Network.enable")

    page.goto(f"{address}/dock/", wait_until="networkidle")

    own = {key: path for key, path in paths.items() if _PHOTOS not in path}
    for key, path in own.items():
        print(f"{sent.get(key, 0):7,.0f} bytes  {path}")
    total = sum(sent.get(key, 0) for key in own)
    print(f"{total:7,.0f} bytes in {len(own)} files")
    assert len(own) > 10, own
    conditional = {"if-none-match", "if-modified-since"}
    again = [
        paths[key]
        for key, headers in asked.items()
        if key in own and conditional & {name.lower() for name in headers}
    ]
    assert again == []
    assert 0 < total <= MOST_AGAIN

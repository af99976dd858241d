"""The first load of the dock on a phone stays small: docks have poor signal.

At most 60 KB compressed, as our own product asks; from no outside source. It counts
the page, its styles, scripts and fonts as they come over the wire; photos are not the
page's own.
"""

import pytest

from tests.browser.conftest import PHONE
from tests.browser.dock_scene import SCENE
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

MOST_BYTES = 60_000
_TRANSFERS = """() => performance.getEntriesByType("navigation")
  .concat(performance.getEntriesByType("resource"))
  .map((one) => [new URL(one.name).pathname, one.encodedBodySize, one.decodedBodySize])"""
_PHOTOS = "/evidence/"


def test_the_first_load_of_the_dock_is_small(site, chromium, address):
    maker = site.python(SCENE)
    told = maker.communicate()[1]
    assert maker.returncode == 0, told
    signed_in = chromium.new_context(**PHONE)
    Visitor(signed_in.new_page(), address).sign_in("rosa")
    cookies = signed_in.cookies()
    signed_in.close()

    fresh = chromium.new_context(**PHONE, service_workers="block")
    fresh.add_cookies(cookies)
    page = fresh.new_page()
    page.goto(f"{address}/dock/", wait_until="networkidle")
    assert "Gannet Overland 1" in page.locator("main").inner_text()
    parts = [one for one in page.evaluate(_TRANSFERS) if _PHOTOS not in one[0]]
    fresh.close()

    for path, sent, whole in parts:
        print(f"{sent:7,} of {whole:7,} bytes  {path}")
    total = sum(sent for _, sent, _ in parts)
    print(f"{total:7,} bytes in {len(parts)} files")
    assert len(parts) > 10, parts
    assert all(sent for _, sent, _ in parts), "nothing came from a cache"
    assert total <= MOST_BYTES

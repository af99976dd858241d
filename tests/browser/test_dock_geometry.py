"""Every page of the dock fits the hand, the eye and a small screen.

Contrast by axe: 7:1 for text (WCAG 2.2, 1.4.6), because the dock stands in the sun.
"""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.dock_scene import SCENE
from tests.browser.geometry import complaints_of, covered_on_focus
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

SIZES = {
    "320 px": (320, 568),
    "390 px": (390, 844),
    "768 px": (768, 1024),
    "1366 px": (1366, 768),
    # 1366 px at 200 % zoom has half as many CSS px.
    "200 %": (683, 384),
}
PHONE_WIDTH = 600
LEAST_ACT_PHONE = 56
LEAST_ACT_DESK = 24
PAGES = {
    "dock": "/dock/",
    "trucks": "/deliveries/",
    "log a truck": "/deliveries/new/",
    "add a bill": "/deliveries/{truck}/bill/",
    "correct the truck": "/deliveries/{truck}/edit/",
    "truck": "/deliveries/{truck}/tailgate/",
    "signing": "/deliveries/{truck}/sign/",
    "exceptions as signed": "/deliveries/{signed}/words/",
    "mail to the terminal": "/deliveries/{signed}/terminal-mail/",
    "new crate": "/crates/{crate}/look/",
    "crate with an exception": "/crates/{damaged}/look/",
    "refused crate": "/crates/{refused}/look/",
    "more crates": "/shipments/{bill}/crates/new/",
    "freight bill": "/shipments/{bill}/",
    "signed truck": "/deliveries/{signed}/",
    "note": "/deliveries/{signed}/note/",
    "find a crate": "/crates/find/",
}
_RULES = {"rules": {"color-contrast-enhanced": {"enabled": True}}}


@pytest.fixture(scope="module")
def scene(site):
    """The two trucks; the keys of their pages."""
    maker = site.python(SCENE)
    out, told = maker.communicate()
    assert maker.returncode == 0, told
    return json.loads(out.splitlines()[-1])


@pytest.fixture(scope="module", params=["light", "dark"])
def clerk(request, chromium, address):
    """Rosa, signed in, by day and by night."""
    context = chromium.new_context(color_scheme=request.param, has_touch=True)
    visitor = Visitor(context.new_page(), address)
    visitor.sign_in("rosa")
    yield visitor
    context.close()


@pytest.mark.parametrize("name", PAGES)
def test_the_page_fits(clerk, scene, name):
    told = []
    for size, (width, height) in SIZES.items():
        clerk.page.set_viewport_size({"width": width, "height": height})
        clerk.page.goto(f"{clerk.address}{PAGES[name].format(**scene)}")
        least = LEAST_ACT_PHONE if width < PHONE_WIDTH else LEAST_ACT_DESK
        told += [f"{size}: {one}" for one in complaints_of(clerk.page, least_act=least)]
        told += [f"{size}: {one!r} is covered" for one in covered_on_focus(clerk.page)]
        told += [f"{size}: {one}" for one in barriers_of(clerk.page)]
    assert clerk.complaints == []
    assert told == [], "\n".join(told)


def barriers_of(page):
    """Return what axe finds on the open page, one line each."""
    found = Axe().run(page, options=_RULES)
    return [
        f"{rule['id']}: {node['html'][:90]}"
        for rule in found.response["violations"]
        for node in rule["nodes"]
    ]

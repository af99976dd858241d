"""Every page of the bench fits the hand, the eye and a small screen."""

import json

import pytest

from tests.browser.bench_scene import SCENE
from tests.browser.geometry import complaints_of, covered_on_focus
from tests.browser.test_dock_geometry import (
    LEAST_ACT_DESK,
    LEAST_ACT_PHONE,
    PHONE_WIDTH,
    barriers_of,
    sizes_in,
)
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

PAGES = {
    "bench": "/bench/",
    "open a crate": "/crates/{closed}/open/",
    "inspect at uncrating": "/units/{fresh}/inspect/uncrating/",
    "setup": "/units/{working}/setup/",
    "setup on hold": "/units/{held}/setup/",
    "setup signed off": "/units/{sold}/setup/",
    "begin setup": "/units/{fresh}/setup/begin/",
    "a line": "/units/{working}/setup/lines/keys/",
    "a serial": "/units/{working}/setup/lines/labels/",
    "tires read": "/units/{low}/setup/lines/tires/",
    "deck level": "/units/{working}/setup/lines/deck-level/",
    "decide": "/units/{working}/setup/lines/deck-level/decide/",
    "record damage": "/units/{working}/setup/lines/deck-level/damage/",
    "sign off": "/units/{ready}/sign-off/",
    "not ready to sign off": "/units/{working}/sign-off/",
    "release unsigned": "/units/{working}/release/",
    "model entry": "/units/{working}/model/",
    "choose a finding": "/shipments/{bill}/findings/new/",
    "finding on a machine": "/shipments/{bill}/findings/new/?unit={fresh}&stage=uncrating",
    "finding": "/findings/{finding}/",
    "change a finding": "/findings/{finding}/edit/",
    "price a finding": "/findings/{finding}/price/",
    "answer our handling": "/findings/{handled}/handling/",
    "recover from": "/findings/{finding}/route/",
    "release a hold": "/holds/{hold}/release/",
    "machine": "/units/{sold}/",
    "machine that is gone": "/units/{gone}/",
    "leaves": "/units/{sold}/leave/",
    "leaves after it stood": "/units/{stood}/leave/",
    "leaves by the manager's reason": "/units/{working}/leave/",
    "back": "/units/{gone}/back/",
    "time": "/units/{held}/minutes/",
    "book time": "/units/{held}/minutes/book/",
    "take back time": "/minutes/{booked}/take-back/",
    "replaced parts": "/part-tags/",
    "a replaced part": "/part-tags/{tag}/",
    "waive a part": "/part-tags/{tag}/waive/",
    "collect a part": "/part-tags/{tag}/collect/",
    "scrap a part": "/part-tags/{free}/scrap/",
    "tag a part": "/findings/{finding}/tag/",
    "setup lists": "/setup-lists/",
    "setup list": "/setup-lists/ride-on-mower/",
}


@pytest.fixture(scope="module")
def scene(site):
    """The machines of the bench; the keys of their pages."""
    maker = site.python(SCENE)
    out, told = maker.communicate()
    assert maker.returncode == 0, told
    return json.loads(out.splitlines()[-1])


@pytest.fixture(scope="module", params=["light", "dark"])
def manager(request, chromium, address):
    """Mina, who may open every page of the bench, by day and by night."""
    context = chromium.new_context(color_scheme=request.param, has_touch=True)
    visitor = Visitor(context.new_page(), address)
    visitor.sign_in("mina")
    visitor.sizes = sizes_in(request.param)
    yield visitor
    context.close()


def unfold(page):
    """Open what is folded, and say that a line is not right, so that all is measured."""
    page.evaluate(
        "() => document.querySelectorAll('main details').forEach((one) => { one.open = true; })"
    )
    wrong = page.locator("input[name=result][value=wrong]")
    if wrong.count():
        wrong.check()


@pytest.mark.parametrize("name", PAGES)
def test_the_page_fits(manager, scene, name):
    told = []
    for size, (width, height) in manager.sizes.items():
        manager.page.set_viewport_size({"width": width, "height": height})
        answer = manager.page.goto(f"{manager.address}{PAGES[name].format(**scene)}")
        assert answer.status == 200
        unfold(manager.page)
        least = LEAST_ACT_PHONE if width < PHONE_WIDTH else LEAST_ACT_DESK
        told += [
            f"{size}: {one}" for one in complaints_of(manager.page, least_act=least)
        ]
        told += [
            f"{size}: {one!r} is covered" for one in covered_on_focus(manager.page)
        ]
        told += [f"{size}: {one}" for one in barriers_of(manager.page)]
    assert manager.complaints == []
    assert told == [], "\n".join(told)


def test_ones_own_machines_are_on_the_first_screen_with_39_crates(phone, site, scene):
    phone.sign_in("tomas", then="/bench/")
    assert "Closed crates: 39" in phone.page.locator("#closed").inner_text()
    below = phone.page.locator(".act-bar").bounding_box()["y"]
    for key in ("working", "low", "ready"):
        row = phone.page.locator(f".jobs a[href='/units/{scene[key]}/setup/']").first
        box = row.bounding_box()
        assert 0 < box["y"] < box["y"] + box["height"] <= below

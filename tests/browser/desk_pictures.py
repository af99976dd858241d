"""Take the README's pictures of the four desks, from the demo, in a real Chromium.

``make pictures`` writes them to ``fixtures/desks``. The dock and the bench are shown
as on a phone, the two office desks as on a laptop.
"""

import tempfile
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from tests.browser.conftest import CHROMIUM_ARGS, DESK, PHONE
from tests.chromium import find_chromium
from tests.prepared import ROOT, environment
from tests.sites import Site, served

FOLDER = ROOT / "fixtures" / "desks"
DEMO_PASSWORD = "kraft-and-stencil"
DESKS = (
    ("dock", "rosa", "/dock/", PHONE),
    ("bench", "tomas", "/bench/", PHONE),
    ("claims", "mina", "/claims/", DESK),
    ("deposits", "abel", "/deposits/", DESK),
)


def take_pictures() -> None:
    """Serve the demo once and write one picture of each desk."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        folder = Path(scratch)
        site = Site(folder, environment(folder))
        site.manage("migrate", "--verbosity", "0")
        site.manage("load_demo")
        with served(site) as address:
            browser = playwright.chromium.launch(
                executable_path=find_chromium(), args=CHROMIUM_ARGS
            )
            for desk in DESKS:
                _take(browser, address, desk)
            browser.close()


def _take(browser: Browser, address: str, desk: tuple) -> None:
    name, person, page, size = desk
    context = browser.new_context(**size, color_scheme="light")
    tab = context.new_page()
    tab.goto(f"{address}/accounts/login/?next={page}")
    tab.get_by_label("Username").fill(person)
    tab.get_by_label("Password").fill(DEMO_PASSWORD)
    tab.get_by_role("button", name="Sign in", exact=True).click()
    tab.wait_for_url(f"**{page}")
    tab.wait_for_load_state("networkidle")  # the thumbnails too
    _write(tab.screenshot(), FOLDER / f"{name}.png")
    context.close()


def _write(shot: bytes, path: Path) -> None:
    """Write the picture in as few bytes as its 256 commonest colours need."""
    with Image.open(BytesIO(shot)) as picture:
        few = picture.convert("RGB").quantize(256, dither=Image.Dither.NONE)
    few.save(path, optimize=True)


if __name__ == "__main__":
    take_pictures()

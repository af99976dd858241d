"""Draw the icons of the installed app from the mark, in a real Chromium.

``python -m tests.browser.icons`` writes them beside the mark. The maskable one keeps
the mark inside the circle that a phone may cut.
"""

import io
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from config.phone import GROUND
from tests.browser.conftest import CHROMIUM_ARGS
from tests.chromium import find_chromium
from tests.prepared import ROOT

FOLDER = ROOT / "inventory" / "static" / "house"
ICONS = (
    ("icon-192.png", 192, 8),
    ("icon-512.png", 512, 8),
    ("icon-maskable.png", 512, 20),
)
"""Name, width in pixels, and the margin in percent."""


def draw_icons(folder: Path = FOLDER) -> None:
    """Write every icon, in few colors so that it stays small."""
    mark = (FOLDER / "favicon.svg").read_text(encoding="utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_chromium(), args=CHROMIUM_ARGS
        )
        for name, side, margin in ICONS:
            page = browser.new_page(viewport={"width": side, "height": side})
            page.set_content(
                f"<style>body{{margin:0;background:{GROUND}}}"
                f"svg{{display:block;width:{100 - 2 * margin}vw;margin:{margin}vw}}</style>{mark}"
            )
            picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
            picture.quantize(16).save(folder / name, optimize=True)
        browser.close()


if __name__ == "__main__":
    draw_icons()

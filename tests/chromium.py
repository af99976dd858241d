"""Where a Chromium is, and what to say where there is none."""

import os
import shutil

_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

HOW_TO_GET_ONE = (
    "No Chromium was found, so no browser test can run. "
    "Get one with: sudo apt install chromium (or set CHROMIUM=/path/to/it)."
)


def find_chromium():
    """Return the path of a Chromium; None where there is none."""
    named = os.environ.get("CHROMIUM")
    found = (shutil.which(name) for name in ([named] if named else _NAMES))
    return next((path for path in found if path), None)


def is_required():
    """Say whether a run without a browser counts as a failure."""
    return os.environ.get("DOCK_REQUIRE_BROWSER", "") not in {"", "0"}


if __name__ == "__main__" and find_chromium() is None:
    print(HOW_TO_GET_ONE)

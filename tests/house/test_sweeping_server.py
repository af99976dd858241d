"""A server that starts sweeps what a crash left, without being asked."""

import os
import time

import pytest

from tests.sites import served, template_site

pytestmark = [pytest.mark.database, pytest.mark.processes]

OLD = 2 * 60 * 60


def test_a_draft_of_two_hours_ago_is_gone_soon_after_the_start(tmp_path):
    with template_site(tmp_path / "site") as site:
        drafts = site.folder / "originals" / ".incoming"
        drafts.mkdir(parents=True)
        left, young = drafts / "left-behind", drafts / "arriving"
        left.write_bytes(b"half a photo")
        young.write_bytes(b"half a photo")
        then = time.time() - OLD
        os.utime(left, (then, then))

        with served(site):
            until = time.monotonic() + 20
            while left.exists() and time.monotonic() < until:
                time.sleep(0.1)

        assert not left.exists()
        assert young.exists()
        log = (site.folder / "gunicorn.log").read_text()
        assert "sweep failed" not in log

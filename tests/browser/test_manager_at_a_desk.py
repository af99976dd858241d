"""The manager at a desk: from a finding to a claim that the carrier has."""

import re
from urllib.parse import urlsplit

import pytest

pytestmark = pytest.mark.browser


def test_a_finding_becomes_a_claim(desk):
    page = desk.page
    desk.sign_in("mina")
    assert page.url.endswith("/claims/")

    # The freight bill with a cracked deck shell, found by its number.
    desk.open("/search/?q=PRO-330815")
    desk.follow("PRO PRO-330815")
    desk.follow("Make a claim")
    desk.press("Make the claim")
    assert re.search(r"/claims/\d+/$", page.url)
    claim = page.url
    # One and a half hours at 125.00, and a deck shell at 310.00.
    assert "497.50" in page.locator(".claim-side").inner_text()

    # It is sent; only proof of delivery counts.
    desk.follow("Record as sent")
    page.get_by_text("Email", exact=True).click()
    desk.press("Record as sent")
    assert page.url == claim
    desk.follow("Record proof of delivery")
    desk.press("Record proof of delivery")  # nothing typed
    assert page.title().startswith("Error: ")
    page.locator("[name=words]").fill("Automatic reply of their mail server")
    desk.press("Record proof of delivery")
    assert page.url == claim
    assert page.get_by_text("Received by carrier").first.is_visible()

    # The claim file is seen, confirmed and frozen, and it downloads.
    desk.follow("Make the claim file")
    assert page.get_by_text("Still open.").is_visible()
    desk.open(f"{urlsplit(claim).path}packet/preview/")
    assert page.get_by_role("link", name="Make the preview again").is_visible()
    desk.follow("Back to the claim file")
    page.get_by_text("Send them along", exact=True).click()
    desk.press("Confirm and make the claim file")
    assert page.url == claim
    with page.expect_download() as coming:
        page.get_by_role("link", name="Claim file, version 1", exact=True).click()
    assert coming.value.path().read_bytes().startswith(b"%PDF")

    # It is paid in full, and closed: nothing on its page is late or missing.
    desk.follow("Record a payment")
    page.locator("[name=amount]").fill("497.50")
    page.locator("[name=reference]").fill("Check 40118")
    desk.press("Record the payment")
    assert page.url == claim
    desk.follow("Close as settled")
    desk.press("Close as settled")
    assert page.get_by_role("heading", name="Settled. Nothing to do.").is_visible()
    assert page.locator("main .notice.late, main .state.late").count() == 0


def test_the_desks_and_the_partners(desk):
    desk.sign_in("mina")
    desk.open("/bench/")
    desk.open("/carriers/")
    desk.open("/suppliers/")

"""A claim file that takes longer than a moment is confirmed when it is ready, by itself."""

import pytest

from tests.browser.conftest import PHONE
from tests.sites import PASSWORD

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def site(site):
    """Serve one that waits for no PDF."""
    site.env["PDF_WAIT_SECONDS"] = "0"
    return site


@pytest.fixture(scope="module")
def claim(chromium, address):
    """The address of a claim whose first file was confirmed without a script."""
    context = chromium.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/accounts/login/?next=/claims/")
    page.get_by_label("Username").fill("mina")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.goto(f"{address}/search/?q=PRO-330815")
    page.get_by_role("link", name="PRO PRO-330815", exact=True).click()
    page.get_by_role("link", name="Make a claim", exact=True).click()
    page.get_by_role("button", name="Make the claim", exact=True).click()
    claim = page.url
    confirm(page)
    assert page.get_by_text("Not confirmed yet.").is_visible()
    for _ in range(50):
        page.get_by_role("button", name="Check again").click()
        if page.url == claim:
            break
    assert page.get_by_text("Claim file, version 1, made.").is_visible()
    yield claim
    context.close()


def confirm(page):
    page.get_by_role("link", name="Make the claim file", exact=True).click()
    page.get_by_text("Send them along", exact=True).click()
    page.get_by_role("button", name="Confirm and make the claim file").click()


def test_it_is_confirmed_by_a_button_or_with_the_script_by_itself(desk, claim):
    page, said = desk.page, []
    desk.sign_in("mina")
    page.goto(claim)
    page.on("response", lambda answer: said.append(answer.status))
    confirm(page)
    page.wait_for_url(claim)
    desk.look()
    assert 202 in said
    assert page.get_by_text("Claim file, version 2, made.").is_visible()

    page.go_back()  # to the form: the page that waited is not in the way
    assert page.get_by_role("button", name="Confirm and make").is_visible()


def test_back_to_a_form_that_came_back_opens_the_form(desk, claim):
    page = desk.page
    desk.sign_in("mina")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(f"{claim}packet/")
    desk.press("Confirm and make the claim file")  # the choice is missing
    page.get_by_role("link", name="Back to claim").click()
    page.wait_for_url(claim)
    page.go_back()
    assert page.get_by_role("button", name="Confirm and make").is_visible()
    assert page.get_by_text("No signal").count() == 0

"""The manager's morning at the desk."""

import pytest

pytestmark = pytest.mark.browser


def test_the_desks_and_the_partners(desk):
    desk.sign_in("mina")
    assert desk.page.url.endswith("/claims/")
    desk.open("/bench/")
    desk.open("/carriers/")
    desk.open("/suppliers/")

"""The bar at the top marks the desk that a page belongs to."""

import pytest
from django.test import RequestFactory

from claims.nav import BEHIND, DESKS, nav
from tests.people import cast
from tests.upgrade.walking import routes

NO_DESK = {
    *(
        "",
        ".well-known",
        "accounts",
        "app.webmanifest",
        "calendar",
        "cautions",
        "codes",
        "evidence",
    ),
    *(
        "favicon.ico",
        "healthz",
        "lists",
        "locations",
        "metrics",
        "offline",
        "outbox",
        "people",
    ),
    *(
        "phone",
        "photos",
        "readyz",
        "reminders",
        "search",
        "sw.js",
        "undo",
        "upkeep",
        "welcome",
    ),
}
"""First words of pages that are no desk's own, or have a place of their own."""


def test_every_address_is_behind_one_desk_or_behind_none_on_purpose():
    words = {str(one.pattern).split("/", maxsplit=1)[0] for _, one in routes()}
    behind = [word for one in BEHIND.values() for word in one]
    desks = {name for name, _, _ in DESKS}
    assert len(behind) == len(set(behind))
    assert not (set(behind) | desks) & NO_DESK
    assert words <= set(behind) | desks | NO_DESK
    assert set(behind) <= words


@pytest.mark.database
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("path", "desk"),
    [
        ("/memos/3/", "Deposits"),
        ("/month-end/", "Books"),
        ("/claims/", "Claims"),
        ("/deposits/rates/", "Deposits"),
        ("/search/", None),
    ],
)
def test_a_page_marks_its_desk(path, desk):
    request = RequestFactory().get(path)
    request.user = cast().abel
    request.session = {}
    marked = [way["label"] for way in nav(request)["nav"] if way["current"]]
    assert marked == ([desk] if desk else [])

"""No page takes more work for what is closed: counted, never timed."""

import pytest
from django.db import connection

from tests.bench.counted import opened, pages
from tests.bench.growing import GrowingHouse
from tests.sizes import cases

SMALL, LARGE = 1_000, cases(4_000, 20_000)
MOST = 1.3
"""How much more work a page may take in the large house."""

GROWERS: frozenset[str] = frozenset()
"""Pages that still grow. One that no longer does is taken off; none is added."""


@pytest.mark.slow
@pytest.mark.django_db
def test_no_page_grows_with_what_is_closed(client):
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL's plans follow its statistics: see make bench.")
    house = GrowingHouse()
    small, large = (_work(client, house.grow(size)) for size in (SMALL, LARGE))
    grown = {name for name in small if large[name] > MOST * small[name]}
    told = {name: (small[name], large[name]) for name in grown ^ GROWERS}
    assert not grown - GROWERS, f"These pages grow now: {told}"
    assert not GROWERS - grown, f"These no longer grow, take them off: {told}"


def _work(client, house):
    found = pages(house.story)
    return {
        name: opened(client, house.who, person, url).work
        for name, (person, url) in found.items()
    }

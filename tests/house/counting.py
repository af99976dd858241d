"""Counting the queries of a page: as many with five rows as with one.

The whole form has twenty.
"""

from collections import Counter

from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.sizes import cases

MANY = cases(5, 20)


class CountsQueries:
    """For a TestCase with the cast in ``self.who``."""

    def queries(self, url, person):
        self.client.force_login(getattr(self.who, person))
        with CaptureQueriesContext(connection) as queries:
            assert self.client.get(url).status_code == 200
        return [one["sql"] for one in queries]

    def expect_same(self, url, person, add_one):
        """Open the page with one row and with many; the queries are as many."""
        add_one(0)
        self.queries(url, person)  # what is looked up once is looked up now
        with_one = self.queries(url, person)
        for number in range(1, MANY):
            add_one(number)
        with_many = self.queries(url, person)
        assert len(with_many) == len(with_one), surplus(with_one, with_many)


def surplus(with_one, with_many):
    """Return the statements that came more often, by table, to find the culprit."""
    few, many = (
        Counter(sql.split(" WHERE ")[0][-120:] for sql in run)
        for run in (with_one, with_many)
    )
    return "\n".join(f"{n} more: {sql}" for sql, n in (many - few).items())

"""The pages of a long list: keys in order first, then the rows of one page."""

import pytest
from django.db import connection
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext

from inventory.models import Supplier
from inventory.views.core.paging import PAGES_AHEAD, page_of
from tests import making

pytestmark = pytest.mark.django_db

SIZE, COUNT = 3, 20


@pytest.fixture
def rows():
    """Return suppliers in an order that is not that of their keys."""
    for number in range(COUNT):
        making.make_supplier(name=f"Supplier {number * 7 % COUNT:02}")
    return Supplier.objects.order_by("-name", "pk")


def page(rows, asked):
    return page_of(RequestFactory().get("/", {"page": asked}), rows, SIZE)


@pytest.mark.parametrize("asked", [1, 2, 3, 6, 7])
def test_a_page_has_the_rows_of_its_place_in_the_lists_order(rows, asked):
    found = page(rows, asked)

    first = (asked - 1) * SIZE
    assert found.number == asked
    assert list(found.object_list) == list(rows)[first : first + SIZE]


@pytest.mark.parametrize("asked", ["0", "8", "99", "99999999"])
def test_a_page_out_of_range_is_the_last_that_is_counted(rows, asked):
    found = page(rows, asked)

    assert found.number == (PAGES_AHEAD if asked == "0" else 7)
    first = (found.number - 1) * SIZE
    assert list(found.object_list) == list(rows)[first : first + SIZE]


@pytest.mark.parametrize("asked", ["", "x", "-1", "1.5", "9" * 40])
def test_what_is_no_number_is_the_first_page(rows, asked):
    assert page(rows, asked).number == 1


def test_the_list_is_counted_some_pages_ahead(rows):
    first, last = page(rows, 1).paginator, page(rows, 7).paginator

    assert (first.count, first.is_more) == ((1 + PAGES_AHEAD) * SIZE, True)
    assert (last.count, last.is_more) == (COUNT, False)


def test_an_empty_list_has_one_empty_page(rows):
    found = page(rows.filter(name="Nobody"), 1)

    assert (found.number, list(found.object_list)) == (1, [])


def test_only_the_rows_of_the_page_are_read_whole(rows):
    with CaptureQueriesContext(connection) as taken:
        found = page(rows, 2)
        assert found.has_next()
        assert len(list(found.object_list)) == SIZE

    keys, whole = (query["sql"] for query in taken)
    assert "address" not in keys
    assert "address" in whole
    assert "LIMIT" not in whole

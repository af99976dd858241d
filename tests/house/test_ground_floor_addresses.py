"""The ground floor names no address of the upper floor, and works without them."""

import ast
import copy
import re
from html.parser import HTMLParser
from unittest import mock
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.template import engines
from django.test import SimpleTestCase, TestCase, override_settings
from django.urls import get_resolver, resolve, reverse

from inventory import addresses
from inventory.models import Crate, CrateReturn
from inventory.rules.core.registry import Registry
from inventory.rules.core.roles import ACTS
from inventory.views.core.ways import go_to
from tests.house.access_rows import make_rows
from tests.house.access_table import (
    ADMINISTRATOR,
    LISTS,
    OBJECTS,
    OPEN,
    POST_ONLY,
    SHARED,
)
from tests.house.addresses import address_for, names_of_the_house, undone
from tests.house.running import ROOT
from tests.people import cast

GROUND = "tests.house.ground_urls"
SOURCES = sorted((ROOT / "inventory").rglob("*.py"))
TEMPLATES = [
    *sorted((ROOT / "templates" / "inventory").rglob("*.html")),
    *sorted((ROOT / "templates" / "parts").rglob("*.html")),
    ROOT / "templates" / "base.html",
]
VARIABLES = {
    "inventory/addresses.py: reverse(name)": "the name comes from the table",
    "inventory/views/people/listed_act.py: reverse(self.above[1])": "above= of the pages",
    "templates/inventory/imports/lists.html: kind.url": "the kinds of lists",
    "templates/inventory/memos/_stated.html: reason.page": "a page= of inventory/queries",
}
"""The names that are not written where they are used, and where they come from."""

PEOPLE = {"clerk": "rosa", "technician": "tomas", "manager": "mina"}


def used_in(source):
    """Return the URL names that Python code writes, and those it does not write."""
    written, variable = set(), set()
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        called = getattr(node.func, "id", "")
        if called in {"reverse", "reverse_lazy", "redirect", "resolve_url"}:
            first = node.args[0]
            if isinstance(first, ast.Constant):
                written.add(first.value)
            elif called != "redirect":
                variable.add(f"{called}({ast.unparse(first)})")
        written |= {
            each.value.value
            for each in node.keywords
            if each.arg == "page" and isinstance(each.value, ast.Constant)
        }
    return written, variable


def used_in_template(text):
    """Return the same of a template."""
    names = set(re.findall(r"{%\s*url\s+(\S+)", text))
    return {name.strip("'\"") for name in names if name[0] in "'\""}, {
        name for name in names if name[0] not in "'\""
    }


def used_on_the_ground_floor():
    """Return every (place, name) written there, and every variable used as a name."""
    written, variables = [], []
    for paths, read in ((SOURCES, used_in), (TEMPLATES, used_in_template)):
        for path in paths:
            place = path.relative_to(ROOT)
            names, others = read(path.read_text(encoding="utf-8"))
            written += [(place, name) for name in sorted(names)]
            variables += [f"{place}: {each}" for each in sorted(others)]
    return written, variables


class TestNames:
    def test_every_name_resolves_with_the_routes_of_claims_left_out(self):
        known = {name for name in get_resolver(GROUND).reverse_dict if name}
        written, _ = used_on_the_ground_floor()

        assert len(written) > 100
        assert [
            (str(place), name) for place, name in written if name not in known
        ] == []

    def test_a_name_is_written_where_it_is_used(self):
        _, variables = used_on_the_ground_floor()

        assert set(variables) == set(VARIABLES)

    def test_no_template_writes_a_path_out(self):
        path = re.compile(r"""(?:href|action|src)=["']/\w""")
        found = [
            str(each.relative_to(ROOT))
            for each in TEMPLATES
            if path.search(each.read_text(encoding="utf-8"))
        ]

        assert found == []

    @pytest.mark.parametrize("call", ["reverse", "redirect", "reverse_lazy"])
    def test_a_name_of_claims_would_be_seen(self, call):
        assert used_in(f"{call}('crate', args=[1])") == ({"crate"}, set())
        assert used_in_template("{% url 'crate' 1 %}") == ({"crate"}, set())

    def test_each_page_registered_is_served(self):
        known = set(get_resolver().reverse_dict)

        assert {*addresses.pages.values(), *addresses.places.values()} <= known


def templates_without(processor):
    """Return the settings of templates without one context processor."""
    found = copy.deepcopy(settings.TEMPLATES)
    found[0]["OPTIONS"]["context_processors"].remove(processor)
    return found


class _Alone:
    """The ground floor with nobody above it."""

    def setUp(self):
        super().setUp()
        alone = [
            override_settings(
                ROOT_URLCONF=GROUND, TEMPLATES=templates_without("claims.nav.nav")
            ),
            mock.patch.object(
                addresses, "pages", Registry("pages", addresses.OWN_PAGES)
            ),
            mock.patch.object(addresses, "places", Registry("places", {})),
        ]
        for each in alone:
            each.__enter__()
            self.addCleanup(each.__exit__, None, None, None)


class TestNobodyAbove(_Alone, SimpleTestCase):
    def test_a_row_that_nobody_shows_has_no_address(self):
        assert addresses.address_of(Crate(pk=1)) == ""
        assert addresses.address_of(None) == ""
        assert addresses.address_at(addresses.TAILGATE, 1) == ""

    def test_a_row_of_the_ground_floor_keeps_its_own(self):
        assert addresses.address_of(CrateReturn(pk=1, currency="USD")) == reverse(
            "crate_return", args=[1]
        )

    def test_a_link_to_it_is_plain_text(self):
        assert linked(Crate(pk=1)) == "<b>A &amp; B</b>"

    def test_an_act_ends_at_the_list_of_trucks(self):
        assert go_to(addresses.address_of(Crate(pk=1))).url == reverse("deliveries")


class TestSomebodyAbove(SimpleTestCase):
    def test_a_link_leads_to_the_page(self):
        to = reverse("crate", args=[1])

        assert linked(Crate(pk=1)) == f'<a href="{to}"><b>A &amp; B</b></a>'
        assert linked(Crate(pk=1), ' "go"') == (
            f'<a class="go" href="{to}"><b>A &amp; B</b></a>'
        )

    def test_an_act_ends_at_the_page(self):
        assert go_to(addresses.address_of(Crate(pk=1))).url == reverse(
            "crate", args=[1]
        )


def linked(row, css=""):
    source = "{% load house %}{% link row" + css + " %}<b>{{ words }}</b>{% endlink %}"
    template = engines["django"].from_string(source)
    return template.render({"row": row, "words": "A & B"})


class _Links(HTMLParser):
    """The addresses that a page links or sends to."""

    def __init__(self, text):
        super().__init__()
        self.found = set()
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        for name, value in attrs:
            if tag in {"a", "form"} and name in {"href", "action"}:
                self.found.add(urlsplit(value or "").path)


@pytest.mark.database
class TestEveryPage(_Alone, TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.rows = {
            **make_rows(cls.who),
            "person": [cls.who.rosa.pk],
            "location": [cls.who.riverside.pk],
        }

    @pytest.mark.slow
    def test_it_opens_and_links_only_to_what_is_served(self):
        opened = 0
        for person, name, kind in self.pages():
            with self.subTest(page=name):
                self.client.force_login(getattr(self.who, person))
                answer = self.client.get(address_for(self.rows, name, kind))
                assert answer.status_code == 200
                opened += 1
                if answer.get("Content-Type", "").startswith("text/html"):
                    self.expect_served(answer.content.decode())
                elif answer.streaming:
                    b"".join(answer.streaming_content)
        assert opened > 50

    def test_an_act_is_answered(self):
        for act, pages in POST_ONLY.items():
            for name, kind in self.ours(pages):
                with self.subTest(page=name), undone():
                    self.client.force_login(getattr(self.who, who_may(act)))
                    url = address_for(self.rows, name, kind)
                    answer = self.client.post(url, {"version": ""})
                    assert answer.status_code in {302, 400, 409, 422}

    def pages(self):
        for table in (OBJECTS, SHARED):
            for act, pages in table.items():
                for name, kind in self.ours(pages):
                    yield who_may(act), name, kind
        for act, names in LISTS.items():
            for name, _ in self.ours((name, None) for name in names):
                yield who_may(act), name, None
        for name, kind in self.ours(ADMINISTRATOR):
            yield "ada", name, kind
        for name, _ in self.ours((name, None) for name in OPEN):
            yield "mina", name, None

    def ours(self, pages):
        known = names_of_the_house(("inventory.",))
        return [(name, kind) for name, kind in pages if name in known]

    def expect_served(self, html):
        for path in _Links(html).found - {"", "/"}:
            resolve(path, urlconf=GROUND)


def who_may(act):
    """Return someone who may do this act."""
    held = [role for role in PEOPLE if role in ACTS[act]]
    return PEOPLE[held[0]] if held else "abel"

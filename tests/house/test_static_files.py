"""Every stylesheet, script and picture is there under its hashed name, for a year."""

import gzip
import re
from pathlib import Path
from posixpath import dirname, join, normpath

import pytest
from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.files.base import ContentFile
from django.test import Client, TestCase
from django.urls import reverse

from config.pages import plain_page
from config.static_files import HashedFiles, StaticFilesMiddleware, collect_when_changed
from tests.people import cast

ROOT = Path(settings.STATIC_ROOT)
TEMPLATES = Path(__file__).parents[2] / "templates"
HASHED = re.compile(r"\.[0-9a-f]{12}\.")
PACKED = {".css", ".js", ".mjs", ".svg"}
YEAR = "max-age=31536000, public, immutable"
# What one file asks for by name in another.
NAMED = {
    ".css": re.compile(
        r"""url\(\s*["']?(?P<url>[^"')]+)|@import\s+["'](?P<im>[^"']+)"""
    ),
    ".js": re.compile(
        r"""^\s*(?:import|export)\b[^;"']*?["'](?P<url>[./][^"']+)|import\(\s*["'](?P<im>[^"']+)""",
        re.MULTILINE,
    ),
}
NAMED[".mjs"] = NAMED[".js"]
LINK = re.compile(r"""(?:href|src)="(/static/[^"]+)\"""")


def asked_for(name, text):
    """Return the files of this site that a file names, from the top of the static ones."""
    found = []
    pattern = NAMED.get(Path(name).suffix)
    for hit in pattern.finditer(text) if pattern else ():
        url = hit["url"] or hit["im"]
        if not url.startswith(("data:", "#", "http:", "https:", "//")):
            found.append(normpath(join(dirname(name), re.split("[?#]", url)[0])))
    return found


def collected():
    return {
        str(path.relative_to(ROOT)): path
        for path in ROOT.rglob("*")
        if path.is_file() and path.suffix != ".gz"
    }


def test_every_import_and_url_in_a_file_names_a_file_by_its_hash():
    files, wrong, seen = collected(), [], 0
    for name in staticfiles_storage.hashed_files.values():
        if Path(name).suffix not in NAMED:
            continue
        for asked in asked_for(name, files[name].read_text(encoding="utf-8")):
            seen += 1
            if asked not in files or not HASHED.search(asked):
                wrong.append((name, asked))

    assert wrong == []
    assert seen > 20, "the admin's own stylesheets name more pictures than that"


def test_every_text_file_is_packed_and_unpacks_to_itself():
    for name, path in collected().items():
        if path.suffix in PACKED and HASHED.search(name) and path.stat().st_size > 1000:
            assert gzip.decompress(Path(f"{path}.gz").read_bytes()) == path.read_bytes()


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        ("a/b.css", "x{background:url(../c.svg)}", ["c.svg"]),
        ("a/b.css", "@import 'c.css'; y{background:url(data:x)}", ["a/c.css"]),
        ("a/b.mjs", 'import { x } from "./c.mjs";', ["a/c.mjs"]),
        (
            "a/b.mjs",
            'import "./c.mjs";\nexport * from "../d.mjs";',
            ["a/c.mjs", "d.mjs"],
        ),
        ("a/b.mjs", 'const c = await import("./c.mjs");', ["a/c.mjs"]),
    ],
)
def test_the_look_finds_what_it_looks_for(name, text, found):
    assert asked_for(name, text) == found


def test_modules_and_stylesheets_are_rewritten_to_hashed_names(tmp_path):
    storage = HashedFiles(location=tmp_path, base_url="/static/")
    texts = {
        "house/a.mjs": 'import { b } from "./b.mjs";\nimport "./c.mjs";\nb();\n',
        "house/b.mjs": 'export const b = () => import("./c.mjs");\n',
        "house/c.mjs": "export default 1;\n",
        "house/d.css": "p { background: url(e.svg) }\n",
        "house/e.svg": "<svg></svg>\n",
    }
    for name, text in texts.items():
        storage.save(name, ContentFile(text))
    list(storage.post_process({name: (storage, name) for name in texts}))

    for name in ("house/a.mjs", "house/b.mjs", "house/d.css"):
        hashed = storage.hashed_files[name]
        asked = asked_for(hashed, (tmp_path / hashed).read_text(encoding="utf-8"))
        assert asked
        assert set(asked) <= set(storage.hashed_files.values())


def test_nothing_is_collected_twice():
    assert collect_when_changed() is False


def test_a_changed_file_is_collected_anew(monkeypatch, settings, tmp_path):
    settings.STATIC_HOME = tmp_path
    made = []
    monkeypatch.setattr(
        "config.static_files.call_command", lambda *a, **k: made.append(a)
    )

    assert collect_when_changed() is True
    assert collect_when_changed() is False
    monkeypatch.setattr("config.static_files._fingerprint", lambda: "another")
    assert collect_when_changed() is True
    assert len(made) == 2


def test_every_file_that_a_template_names_is_there():
    wrong = [
        (str(path), name)
        for path in TEMPLATES.rglob("*.html")
        for name in re.findall(
            r"""\{% static ["']([^"']+)["']""", path.read_text(encoding="utf-8")
        )
        if name not in staticfiles_storage.hashed_files
    ]

    assert wrong == []


class TestPages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def pages(self):
        yield self.client.get(reverse("login")).content
        yield plain_page(status=500, title="x", sentences=[]).content
        for person in (self.people.rosa, self.people.ada):
            self.client.force_login(person)
            yield self.client.get("/", follow=True).content
            yield self.client.get(reverse("find_crate"), follow=True).content
        yield self.client.get("/admin/", follow=True).content

    def test_every_link_of_a_page_is_served_packed_for_a_year(self):
        links = {link for page in self.pages() for link in LINK.findall(page.decode())}

        assert any("house.mjs" in HASHED.sub(".", link) for link in links)
        assert len(links) > 10
        browser = Client(headers={"accept-encoding": "gzip"})
        for link in sorted(links):
            with self.subTest(link=link):
                answer = browser.get(link)
                assert answer.status_code == 200
                assert HASHED.search(link)
                assert answer["Cache-Control"] == YEAR
                if int(answer["Content-Length"]) > 1000:
                    assert answer["Content-Encoding"] == "gzip"
                answer.close()

    def test_a_name_without_its_hash_is_not_served(self):
        assert self.client.get("/static/house/base.css").status_code != 200
        assert StaticFilesMiddleware.FOREVER == 31_536_000

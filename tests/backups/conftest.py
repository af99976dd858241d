"""One migrated template for all tests of backups."""

import pytest

from tests.sites import copied_site, template_site


@pytest.fixture(scope="session")
def template(tmp_path_factory):
    with template_site(tmp_path_factory.mktemp("template")) as site:
        yield site


@pytest.fixture
def site(template, tmp_path):
    with copied_site(template, tmp_path / "site") as copied:
        yield copied

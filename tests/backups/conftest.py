"""One migrated template for all tests of backups, and one house with five papers."""

import pytest

from tests.backups.writers import KEEP_FIVE
from tests.sites import copied_site, template_site


@pytest.fixture(scope="session")
def template(tmp_path_factory):
    with template_site(tmp_path_factory.mktemp("template")) as site:
        yield site


@pytest.fixture
def site(template, tmp_path):
    with copied_site(template, tmp_path / "site") as copied:
        yield copied


@pytest.fixture(scope="session")
def full_house(template, tmp_path_factory):
    with copied_site(template, tmp_path_factory.mktemp("full") / "site") as site:
        told, failed = site.python(KEEP_FIVE).communicate()
        assert failed == "", told
        yield site

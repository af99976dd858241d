"""No environment means this machine alone; anything more must be asked for in full."""

import json
import os
import re
import secrets

import pytest
from django.conf import settings as django_settings

from tests.house.running import ROOT, run_python

# How settings.py and gunicorn's file ask for a variable.
READ = re.compile(r"""(?:env[.]\w+|environ[.]get)\(\s*["']([A-Z_]+)""")
SHOW = """
import json
from config import settings as s
print(json.dumps({
    "debug": s.DEBUG, "hosts": s.ALLOWED_HOSTS, "demo": s.DEMO_ALLOWED,
    "key": s.SECRET_KEY, "https": s.SECURE_SSL_REDIRECT,
    "secure_cookies": s.SESSION_COOKIE_SECURE and s.CSRF_COOKIE_SECURE,
    "atomic": s.DATABASES["default"]["ATOMIC_REQUESTS"],
    "engine": s.DATABASES["default"]["ENGINE"],
}))
"""


@pytest.fixture(scope="module")
def long_key():
    return secrets.token_urlsafe(60)


def shown(data_dir, **environment):
    ended = run_python("-c", SHOW, data_dir=data_dir, **environment)
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


SIGN = """
import os, django
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
django.setup()
from django.core.signing import Signer
"""


def test_what_a_former_key_signed_holds_until_that_key_is_taken_out(tmp_path, long_key):
    def ask(words, **environment):
        ended = run_python("-c", SIGN + words, data_dir=tmp_path, **environment)
        return ended.returncode, ended.stdout.strip()

    _, signed = ask("print(Signer().sign('rosa'))", SECRET_KEY=long_key)
    read = f"print(Signer().unsign({signed!r}))"
    new = {"SECRET_KEY": secrets.token_urlsafe(60)}

    assert ask(read, **new, SECRET_KEY_FALLBACKS=long_key) == (0, "rosa")
    assert ask(read, **new)[0] == 1


def refused(data_dir, **environment):
    ended = run_python("manage.py", "check", data_dir=data_dir, **environment)
    assert ended.returncode != 0
    assert "Traceback" not in ended.stderr
    return ended.stderr


def test_no_environment_serves_this_machine_alone(tmp_path):
    found = shown(tmp_path)

    assert found["debug"] is False
    assert found["hosts"] == ["localhost", "127.0.0.1", "[::1]"]
    assert found["demo"] is True
    assert (found["https"], found["secure_cookies"]) == (False, False)
    assert (found["engine"], found["atomic"]) == ("config.sqlite", False)


def test_the_key_is_made_once_and_read_by_nobody_else(tmp_path):
    first = shown(tmp_path)["key"]

    assert shown(tmp_path)["key"] == first
    assert len(first) >= 50
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == [
        "secret_key"
    ]


def test_another_host_requires_a_key(tmp_path):
    assert "SECRET_KEY must be set" in refused(tmp_path, ALLOWED_HOSTS="dock.example")


def test_another_host_refuses_debug(tmp_path, long_key):
    said = refused(
        tmp_path, ALLOWED_HOSTS="dock.example", SECRET_KEY=long_key, DEBUG="1"
    )

    assert "DEBUG" in said


def test_another_host_refuses_the_demo_and_wants_https(tmp_path, long_key):
    found = shown(tmp_path, ALLOWED_HOSTS="dock.example", SECRET_KEY=long_key)

    assert found["demo"] is False
    assert (found["https"], found["secure_cookies"]) == (True, True)
    assert found["key"] == long_key
    assert not (tmp_path / "secret_key").exists()


def test_loopback_beside_another_host_is_still_another_host(tmp_path, long_key):
    hosts = "localhost,dock.example"

    assert not shown(tmp_path, ALLOWED_HOSTS=hosts, SECRET_KEY=long_key)["demo"]


def test_a_database_url_means_postgresql(tmp_path):
    found = shown(tmp_path, DATABASE_URL="postgres://dock@127.0.0.1/dock")

    assert found["engine"] == "django.db.backends.postgresql"
    assert found["atomic"] is False


def test_a_sqlite_url_keeps_the_writer_gate(tmp_path):
    found = shown(tmp_path, DATABASE_URL=f"sqlite:///{tmp_path}/other.sqlite3")

    assert found["engine"] == "config.sqlite"


def test_another_kind_of_database_is_refused(tmp_path):
    said = refused(tmp_path, DATABASE_URL="mysql://dock@127.0.0.1/dock")

    assert "DATABASE_URL must begin with" in said


def test_the_deployment_check_has_nothing_to_say(tmp_path, long_key):
    ended = run_python(
        "manage.py",
        "check",
        "--deploy",
        "--fail-level=WARNING",
        data_dir=tmp_path,
        ALLOWED_HOSTS="dock.example",
        SECRET_KEY=long_key,
    )

    assert ended.returncode == 0, ended.stderr
    assert "no issues (0 silenced)" in ended.stdout


def test_the_deployment_check_bites(tmp_path):
    ended = run_python(
        "manage.py", "check", "--deploy", "--fail-level=WARNING", data_dir=tmp_path
    )

    assert ended.returncode != 0
    assert "security.W008" in ended.stderr


def test_the_data_folder_is_not_kept_in_the_history():
    assert ".data/" in (ROOT / ".gitignore").read_text(encoding="utf-8").split()


def test_the_example_of_an_environment_names_every_variable_that_is_read():
    read = {
        name
        for path in (ROOT / "config").rglob("*.py")
        for name in READ.findall(path.read_text(encoding="utf-8"))
    } - {"DJANGO_SETTINGS_MODULE"}
    example = (ROOT / ".env.example").read_text(encoding="utf-8")
    rows = (ROOT / "README.md").read_text(encoding="utf-8").partition("## Settings")[2]
    documented = {
        name
        for row in re.findall(r"^\| (`[A-Z_`, ]+`) \|", rows, re.MULTILINE)
        for name in re.findall(r"[A-Z_]+", row)
    }

    named = set(re.findall(r"^#([A-Z_]+)=", example, re.MULTILINE))
    assert read == named
    assert documented <= named
    assert "DATABASE_URL" in documented


def test_no_two_workers_of_a_test_run_share_a_folder():
    # Under xdist a worker could inherit settings that name the folder of another.
    assert str(django_settings.DATA_DIR) == os.environ["DOCK_DATA_DIR"]

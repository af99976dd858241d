"""What the program never does, read from its own files."""

import ast
import math
import re
import ssl
from functools import cache

import pytest
from django.core.mail.backends.smtp import EmailBackend

from inventory.actions.people import second_factors
from inventory.rules.core.one_time_codes import SECRET_BYTES
from tests.prepared import ROOT

FILES = sorted(
    path
    for folder in ("config", "inventory", "claims")
    for path in (ROOT / folder).rglob("*.py")
)
SCRIPTS = sorted((ROOT / "inventory/static/house").glob("*js"))

NEVER = {
    *("eval", "exec", "compile", "__import__", "os.system", "os.popen"),
    *("pickle.load", "pickle.loads", "marshal.loads", "shelve.open", "yaml.load"),
    *("Template", "Engine.from_string", "engines.from_string", "mark_safe"),
    *("random.random", "random.choice", "random.randint", "random.randbytes"),
    *("hashlib.sha1", "ssl._create_unverified_context", "urllib.request.urlopen"),
}
"""Calls that run text, open what was packed to run, or guess at secrets."""

OWN = {("inventory/evidence/seal/image_index.py", "marshal.loads")}
"""Reads back what the same process packed a moment before, into a file without a name."""

SPEAKS = {
    "config/receiving.py": "takes requests in",
    "config/patient_worker.py": "takes requests in",
    "config/deploy/gunicorn.conf.py": "takes requests in",
    "inventory/evidence/pictures/decoder.py": "a socket of this machine's decoder",
    "inventory/evidence/pictures/decode.py": "takes that socket from the child",
    "inventory/evidence/store/bucket.py": "the bucket that the settings name",
    "inventory/actions/mail/delivering.py": "the names of mail errors",
    "inventory/management/commands/publish_root.py": "the names of mail errors",
}
"""Modules that import something which opens connections, and what for."""

NETWORK = {
    *("socket", "http", "urllib", "ftplib", "smtplib", "ssl", "boto3", "requests"),
    *("httpx", "aiohttp", "urllib3", "telnetlib", "xmlrpc", "asyncio"),
}
HARMLESS = {"urllib.parse", "http.HTTPStatus", "urllib3.exceptions"}

CIPHERS = {"cryptography", "Crypto", "nacl", "OpenSSL"}
TAKEN = {
    "cryptography.exceptions",
    "cryptography.hazmat.primitives.asymmetric.ed25519",
}
"""Of the kept library: signatures over curve 25519 (RFC 8032), 128 bits of strength."""


def name_of(path):
    return str(path.relative_to(ROOT))


@cache
def tree(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def called(node):
    parts = []
    inner = node.func
    while isinstance(inner, ast.Attribute):
        parts.append(inner.attr)
        inner = inner.value
    if isinstance(inner, ast.Name):
        parts.append(inner.id)
    return ".".join(reversed(parts))


def calls():
    for path in FILES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Call):
                yield path, node, called(node)


def imports():
    for path in FILES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Import):
                yield from ((path, alias.name) for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module:
                yield from ((path, f"{node.module}.{one.name}") for one in node.names)


def test_there_is_something_to_read():
    assert len(FILES) > 500
    assert len(SCRIPTS) > 10
    assert {name for _, _, name in calls()} > {"re.compile", "secrets.token_urlsafe"}


def test_the_program_calls_none_of_these():
    found = {(name_of(path), name) for path, _, name in calls() if name in NEVER}
    shells = [
        name_of(path)
        for path, node, _ in calls()
        if any(one.arg == "shell" for one in node.keywords)
    ]
    assert (found, shells) == (OWN, [])


def test_every_pattern_is_written_in_the_code():
    makers = {f"re.{one}" for one in ("compile", "match", "search", "sub", "fullmatch")}
    for path, node, name in calls():
        if name in makers and isinstance(node.args[0], ast.Name | ast.Attribute):
            # A name is a constant of the module: written in capitals.
            label = getattr(node.args[0], "attr", None) or node.args[0].id
            assert label.lstrip("_").isupper(), (name_of(path), name, label)
        elif name in makers:
            assert not isinstance(node.args[0], ast.Call), (name_of(path), name)


def test_only_named_files_open_connections():
    found = {
        name_of(path)
        for path, name in imports()
        if name.partition(".")[0] in NETWORK
        and not any(name.startswith(one) for one in HARMLESS)
    }
    assert found == set(SPEAKS)


def test_no_script_writes_markup():
    writes = re.compile(
        r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function"
        r"|setTimeout\(\s*[\"'`]|__proto__"
    )
    for path in SCRIPTS:
        assert not writes.search(path.read_text(encoding="utf-8")), path.name


def test_ciphers_come_from_kept_libraries():
    found = {
        name.rpartition(".")[0]
        for _, name in imports()
        if name.partition(".")[0] in CIPHERS
    }
    assert found == TAKEN
    # The phone's queue: authenticated encryption by the browser itself.
    store = (ROOT / "inventory/static/house/store.mjs").read_text(encoding="utf-8")
    assert set(re.findall(r'"(AES-\w+|RSA[\w-]*|DES[\w-]*)"', store)) == {"AES-GCM"}


def test_weak_hashes_are_used_for_nothing_secret():
    for path, node, name in calls():
        if name.startswith("hashlib.") and name not in {
            *("hashlib.sha256", "hashlib.new", "hashlib.file_digest"),
            *("hashlib.blake2b", "hashlib.sha512"),
        }:
            # MD5 is what a bucket's own interface asks for: it guards nothing.
            said = {one.arg: ast.literal_eval(one.value) for one in node.keywords}
            assert said == {"usedforsecurity": False}, (name_of(path), name)


def test_secrets_come_from_the_system():
    drawn = [
        name_of(path) for path, name in imports() if name.split(".")[0] == "random"
    ]
    assert drawn == []


def test_how_much_chance_is_in_a_secret():
    for path, node, name in calls():
        if name in {
            "secrets.token_urlsafe",
            "secrets.token_hex",
            "secrets.token_bytes",
        }:
            size = node.args[0]
            if isinstance(size, ast.Constant) and "person" in name_of(path):
                assert size.value >= 16, name_of(path)
    assert SECRET_BYTES >= 20  # RFC 4226, section 4, R6: 160 bits recommended
    code = second_factors._new_codes()[0]
    assert len(code) * math.log2(len(second_factors._LETTERS)) >= 64  # 20 are asked


def test_no_certificate_goes_unlooked_at():
    for path in FILES:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"verify\s*=\s*False|CERT_NONE", text), name_of(path)
    context = EmailBackend(host="mail.example", use_tls=True).ssl_context
    assert context.verify_mode == ssl.CERT_REQUIRED
    assert context.check_hostname


@pytest.mark.parametrize("name", ["requirements.txt", "requirements-dev.txt"])
def test_every_library_is_named_with_its_hash(name):
    entries = re.split(r"\n(?=\S)", (ROOT / name).read_text(encoding="utf-8"))
    pinned = [one for one in entries if one and not one.startswith("#")]
    assert len(pinned) > 10
    for one in pinned:
        assert re.match(r"[\w.\[\],-]+==\S+ ", one), one[:60]
        assert "--hash=sha256:" in one, one[:60]

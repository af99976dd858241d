"""The sample of nginx in front of two servers, as a house would run it."""

import http.client
import re
import shutil
import socket
import ssl
import subprocess
import time
import uuid
from contextlib import ExitStack, closing, contextmanager
from urllib.parse import urlencode

import pytest

from tests.pictures import jpeg
from tests.prepared import ROOT
from tests.sites import Server, template_site
from tests.sizes import cases

MISSING = [name for name in ("nginx", "openssl") if not shutil.which(name)]
pytestmark = [
    pytest.mark.database,
    pytest.mark.processes,
    pytest.mark.skipif(bool(MISSING), reason=f"not installed here: {MISSING}"),
]

HOST = "dock.example.com"
PASSWORD = "four-stacked-crates"
PROMPT = 5.0
"""Seconds, on a busy machine; without the proxy's patience it was for ever."""

PEOPLE = f"""
from tests.people import cast
rosa = cast().rosa
rosa.set_password({PASSWORD!r})
rosa.save()
"""
COUNT = """
from inventory.models import Delivery, Evidence
print(Delivery.objects.count(), Evidence.objects.count())
"""
AROUND = """
daemon off;
user root;
pid {folder}/nginx.pid;
error_log {folder}/error.log;
events {{ worker_connections 1024; }}
http {{
    log_format parts '$status $upstream_addr';
    access_log {folder}/access.log parts;
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
    include {folder}/site.conf;
}}
"""


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def sample(folder, servers, plain, secure):
    """Return the sample with this machine's ports and paths."""
    text = (ROOT / "config/deploy/nginx.conf").read_text(encoding="utf-8")
    lines = "\n".join(f"    server 127.0.0.1:{one.port};" for one in servers)
    for old, new in {
        "    server 127.0.0.1:8000;": lines,
        "listen 80;": f"listen 127.0.0.1:{plain};",
        "listen 443 ssl http2;": f"listen 127.0.0.1:{secure} ssl http2;",
        "/etc/ssl/tarefold/fullchain.pem": f"{folder}/cert.pem",
        "/etc/ssl/tarefold/privkey.pem": f"{folder}/key.pem",
    }.items():
        assert old in text, old
        text = text.replace(old, new)
    return re.sub(r"\n *listen \[::\][^\n]*", "", text)


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("deployed")
    with template_site(folder / "site") as site, ExitStack() as stack:
        told = site.python(PEOPLE).communicate()[1]
        assert not told, told
        site.env.update(ALLOWED_HOSTS=f"{HOST},127.0.0.1", SECRET_KEY="k7" * 40)
        servers = [Server(site), Server(site)]
        for one in servers:
            one.start()
            stack.callback(one.stop)
        plain, secure = free_port(), free_port()
        subprocess.run(
            [
                *("openssl", "req", "-x509", "-newkey", "ec", "-nodes", "-days", "2"),
                *("-pkeyopt", "ec_paramgen_curve:P-256", "-subj", f"/CN={HOST}"),
                *("-addext", f"subjectAltName=DNS:{HOST}"),
                *("-keyout", folder / "key.pem", "-out", folder / "cert.pem"),
            ],
            check=True,
            capture_output=True,
        )
        (folder / "site.conf").write_text(sample(folder, servers, plain, secure))
        conf = folder / "nginx.conf"
        conf.write_text(AROUND.format(folder=folder))
        subprocess.run(["nginx", "-t", "-c", conf], check=True, capture_output=True)
        proxy = subprocess.Popen(["nginx", "-c", conf], stderr=subprocess.DEVNULL)
        stack.callback(proxy.wait, 20)
        stack.callback(proxy.terminate)
        _wait_until_open(secure)
        yield Browser(site, folder, plain, secure)


def _wait_until_open(port):
    for _ in range(200):
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=5):
                return
        except OSError:
            time.sleep(0.1)
    raise AssertionError("nginx did not open its port")


class Browser:
    """A person's browser: it knows the certificate and keeps its cookies."""

    def __init__(self, site, folder, plain, secure):
        self.site, self.folder, self.plain, self.secure = site, folder, plain, secure
        self.context = ssl.create_default_context(cafile=folder / "cert.pem")
        self.cookies = {}

    @contextmanager
    def line(self):
        raw = socket.create_connection(("127.0.0.1", self.secure), timeout=60)
        with self.context.wrap_socket(raw, server_hostname=HOST) as safe:
            yield safe

    def ask(self, method, path, body=None, kind=""):
        """Return status, headers and text of an answer."""
        headers = {
            "Host": HOST,
            "Origin": f"https://{HOST}",
            "Referer": f"https://{HOST}{path}",
            "Cookie": "; ".join(f"{key}={one}" for key, one in self.cookies.items()),
        }
        if kind:
            headers["Content-Type"] = kind
        with self.line() as safe:
            over = http.client.HTTPConnection(HOST)
            over.sock = safe
            over.request(method, path, body, headers)
            answer = over.getresponse()
            text = answer.read().decode("utf-8", "replace")
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            key, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[key] = value
        return answer.status, answer.headers, text

    def form(self, path, typed, files=()):
        """Open a form and send it as a browser does."""
        _, _, text = self.ask("GET", path)
        hidden = re.findall(r'name="(csrfmiddlewaretoken|once)" value="([^"]+)"', text)
        values = dict(hidden) | typed
        if not files:
            kind = "application/x-www-form-urlencoded"
            return self.ask("POST", path, urlencode(values), kind)
        mark = uuid.uuid4().hex
        parts = [
            f'--{mark}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'
            f"{value}\r\n".encode()
            for name, value in values.items()
        ]
        parts += [
            f'--{mark}\r\nContent-Disposition: form-data; name="{name}"; '
            f'filename="{name}.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'.encode()
            + data
            + b"\r\n"
            for name, data in files
        ]
        body = b"".join([*parts, f"--{mark}--\r\n".encode()])
        return self.ask("POST", path, body, f"multipart/form-data; boundary={mark}")

    def counts(self):
        said, _ = self.site.python(COUNT).communicate()
        return [int(word) for word in said.split()]


def test_a_shift_goes_through_the_proxy_and_both_servers(house):
    status, headers, _ = house.ask("GET", "/healthz")
    assert status == 200
    with closing(http.client.HTTPConnection("127.0.0.1", house.plain)) as line:
        line.request("GET", "/", headers={"Host": HOST})
        assert line.getresponse().headers["Location"] == f"https://{HOST}/"

    typed = {"username": "rosa", "password": PASSWORD}
    status, headers, text = house.form("/accounts/login/", typed)
    assert (status, headers["Location"]) == (302, "/"), text
    assert "max-age" in headers["Strict-Transport-Security"]

    before = house.counts()
    for number in range(4):
        truck = {
            "carrier_name": "Heron Freight",
            "arrived_at": "2026-03-10 09:15",
            "driver_name": f"Driver {number}",
        }
        status, _, text = house.form(
            "/deliveries/new/", truck, [("photo", jpeg(colour=(40 * number, 90, 60)))]
        )
        assert status == 302, text
    after = house.counts()
    assert [new - old for new, old in zip(after, before, strict=True)] == [4, 4]

    log = (house.folder / "access.log").read_text()
    taken = {line.split()[1] for line in log.splitlines() if " 127" in line}
    assert len(taken) == 2, "both servers took a part"


@pytest.mark.parametrize(
    ("ciphers", "is_taken"),
    [("ECDHE-ECDSA-AES128-GCM-SHA256", True), ("ECDHE-ECDSA-AES128-SHA", False)],
)
def test_a_line_without_authenticated_encryption_is_refused(house, ciphers, is_taken):
    # RFC 9325, section 4.2: suites in CBC mode are no longer recommended.
    context = ssl.create_default_context(cafile=house.folder / "cert.pem")
    context.maximum_version = ssl.TLSVersion.TLSv1_2
    context.set_ciphers(ciphers)
    with socket.create_connection(("127.0.0.1", house.secure), timeout=60) as raw:
        try:
            with context.wrap_socket(raw, server_hostname=HOST) as line:
                assert line.cipher()[0] == ciphers
                taken = True
        except ssl.SSLError:
            taken = False
    assert taken is is_taken


@pytest.mark.parametrize("path", ["/metrics", "/calendar/x.ics"])
def test_a_program_in_the_clear_is_refused_and_not_led_on(house, path):
    with closing(http.client.HTTPConnection("127.0.0.1", house.plain)) as line:
        line.request("GET", path, headers={"Host": HOST})
        assert line.getresponse().status == 403


def test_who_dribbles_keeps_nobody_waiting(house):
    head = (
        f"POST /accounts/login/ HTTP/1.1\r\nHost: {HOST}\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\n"
        "Content-Length: 400000\r\n\r\n"
    ).encode()
    with ExitStack() as stack:
        lines = []
        for _ in range(cases(30, 90)):  # the sample allows an address 100
            lines.append(stack.enter_context(house.line()))
            lines[-1].sendall(head)
        for _ in range(2):
            for line in lines:
                line.sendall(b"x")
            for path in ("/healthz", "/accounts/login/"):
                began = time.monotonic()
                assert house.ask("GET", path)[0] == 200
                assert time.monotonic() - began < PROMPT

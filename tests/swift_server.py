"""OpenStack Swift with its S3 interface, from Debian's package python3-swift.

Four programs on loopback ports of their own, one disk in a temporary folder, run by
the system's Python as whoever runs the tests. The package starts nothing by itself.
Configured as its own samples are (swift-proxy, swift-object: /usr/share/doc/*/examples),
but without the daemons that replicate: there is one disk, and one copy of each object.
"""

import os
import pwd
import shutil
import socket
import sqlite3
import subprocess
import tempfile
import time
from contextlib import closing, contextmanager
from pathlib import Path

PYTHON = "/usr/bin/python3"
ACCESS_KEY, SECRET_KEY = "dock:clerk", "invented"
SECONDS = 60
"""For all four to answer: each loads half of Swift first."""


class CannotRunError(Exception):
    """Swift cannot run here; the sentence says why."""


_COMMON = """\
[DEFAULT]
bind_ip = 127.0.0.1
bind_port = {port}
swift_dir = {folder}
devices = {folder}/devices
mount_check = false
user = {user}
workers = 0
log_level = WARNING
log_address = {folder}/log
fallocate_reserve = 0
"""
# Patient, because the machine that tests may be busy: a listing that waits for an
# updater which does not run would lack an object for ever.
_TIMES = "node_timeout = 60\nconn_timeout = 20\ncontainer_update_timeout = 60\n"
_CLUSTER = "[swift-hash]\nswift_hash_path_suffix = invented\n"
_STORAGE = "[pipeline:main]\npipeline = {kind}-server\n[app:{kind}-server]\nuse = egg:swift#{kind}\n"
# Sign-in asks for a cache, and bears one that is away. So nothing is ever remembered.
_PROXY = """\
[pipeline:main]
pipeline = catch_errors gatekeeper listing_formats cache s3api tempauth copy slo versioned_writes symlink proxy-server
[filter:catch_errors]
use = egg:swift#catch_errors
[filter:gatekeeper]
use = egg:swift#gatekeeper
[filter:listing_formats]
use = egg:swift#listing_formats
[filter:cache]
use = egg:swift#memcache
memcache_servers = 127.0.0.1:1
[filter:s3api]
use = egg:swift#s3api
location = us-east-1
[filter:tempauth]
use = egg:swift#tempauth
user_dock_clerk = invented .admin
[filter:copy]
use = egg:swift#copy
[filter:slo]
use = egg:swift#slo
[filter:symlink]
use = egg:swift#symlink
[filter:versioned_writes]
use = egg:swift#versioned_writes
allow_object_versioning = true
[app:proxy-server]
use = egg:swift#proxy
account_autocreate = true
recoverable_node_timeout = 60
"""
KINDS = {
    "account": _STORAGE,
    "container": _STORAGE,
    "object": _STORAGE,
    "proxy": _PROXY,
}

# What the packages' own programs do (swift-proxy-server and the others, swift-ring-builder).
# A server ends with whoever started it, however that ends (prctl(2), PR_SET_PDEATHSIG).
_SERVE = """
import ctypes
import sys
ctypes.CDLL(None).prctl(1, 9)
from swift.common.utils import set_swift_dir
from swift.common.wsgi import run_wsgi
set_swift_dir(".")
more = {"verbose": True}
if sys.argv[2] == "object-server":
    from swift.obj.server import global_conf_callback
    more["global_conf_callback"] = global_conf_callback
sys.exit(run_wsgi(sys.argv[1], sys.argv[2], **more))
"""
_RINGS = """
import sys
from swift.common.ring import RingBuilder
for kind, port in zip(sys.argv[2::2], sys.argv[3::2]):
    builder = RingBuilder(part_power=4, replicas=1, min_part_hours=0)
    builder.add_dev({"region": 1, "zone": 1, "weight": 1, "device": "disk", "meta": "",
        "ip": "127.0.0.1", "port": int(port), "replication_ip": "127.0.0.1",
        "replication_port": int(port)})
    builder.rebalance(seed="invented")
    builder.get_ring().save(f"{sys.argv[1]}/{kind}.ring.gz")
"""


def _require_all():
    """Raise CannotRunError where it lacks something here."""
    look = [PYTHON, "-c", "import swift.common.middleware.s3api.s3api"]
    try:
        subprocess.run(look, env=_environment(), capture_output=True, check=True)
    except FileNotFoundError as error:
        raise CannotRunError(f"There is no {PYTHON}.") from error
    except subprocess.CalledProcessError as error:
        raise CannotRunError(
            "Debian's package python3-swift is not installed, or does not load."
        ) from error
    if _disk() is None:
        raise CannotRunError(
            "No folder here takes extended attributes, in which it keeps what it knows "
            "of an object."
        )


def _disk():
    """Return a folder whose disk takes extended attributes of users, or None."""
    for folder in (tempfile.gettempdir(), "/var/tmp", Path.cwd()):
        try:
            with tempfile.NamedTemporaryFile(dir=folder) as file:
                os.setxattr(file.name, "user.swift.metadata", b"x" * 1000)
        except OSError:
            continue
        return folder
    return None


@contextmanager
def served():
    """Run Swift until the end; give the address of its S3 interface, and its folder.

    Raise CannotRunError where this machine does not let it.
    """
    _require_all()
    folder = Path(tempfile.mkdtemp(prefix="dock-swift-", dir=_disk()))
    running = []
    try:
        ports = _lay_out(folder)
        running += [_start(folder, kind) for kind in KINDS]
        for kind, process in zip(KINDS, running, strict=True):
            _wait_for(folder, kind, process, ports[kind])
        yield f"http://127.0.0.1:{ports['proxy']}", folder
    finally:
        for process in running:
            process.kill()
        for process in running:
            process.wait()
        shutil.rmtree(folder, ignore_errors=True)


def _lay_out(folder):
    """Write rings and configurations below the folder; return each program's port."""
    ports = _free_ports()
    (folder / "devices" / "disk").mkdir(parents=True)
    (folder / "swift.conf").write_text(_CLUSTER)
    user = pwd.getpwuid(os.geteuid()).pw_name
    for kind, text in KINDS.items():
        common = _COMMON.format(port=ports[kind], folder=folder, user=user)
        whole = common + text.format(kind=kind) + _TIMES
        (folder / f"{kind}.conf").write_text(whole)
    words = [w for kind in KINDS if kind != "proxy" for w in (kind, str(ports[kind]))]
    subprocess.run(
        [PYTHON, "-c", _RINGS, folder, *words],
        env=_environment(),
        check=True,
        capture_output=True,
    )
    return ports


def _start(folder, kind):
    with (folder / f"{kind}.out").open("wb") as out:
        return subprocess.Popen(
            [PYTHON, "-c", _SERVE, folder / f"{kind}.conf", f"{kind}-server"],
            env=_environment(),
            cwd=folder,
            stdout=out,
            stderr=out,
        )


def _wait_for(folder, kind, process, port):
    until = time.monotonic() + SECONDS
    while time.monotonic() < until and process.poll() is None:
        with closing(socket.socket()) as one:
            if one.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    told = (folder / f"{kind}.out").read_text(errors="replace").strip()
    last = told.splitlines()[-1:] or ["it said nothing"]
    raise CannotRunError(f"Its {kind} server did not start: {last[0]}")


def _environment():
    """Return an environment in which the system's Python finds its own packages."""
    kept = ("PATH", "LANG", "LC_ALL", "TMPDIR", "HOME")
    return {name: os.environ[name] for name in kept if name in os.environ}


def _free_ports():
    """Return a free port for each program: all held at once, so that they differ."""
    held = [socket.socket() for _ in KINDS]
    try:
        for one in held:
            one.bind(("127.0.0.1", 0))
        return {k: s.getsockname()[1] for k, s in zip(KINDS, held, strict=True)}
    finally:
        for one in held:
            one.close()


def age(folder, bucket, key, moment):
    """Let an object's entry in its listing have been made at this moment.

    Swift refuses older moments from outside; its listing is a database of its own.
    """
    for path in (folder / "devices/disk/containers").glob("*/*/*/*.db"):
        with closing(sqlite3.connect(path, timeout=20)) as database:
            # Its triggers sum up what changed; nobody compares copies here.
            database.create_function("chexor", 3, lambda before, *_: before)
            if database.execute("SELECT container FROM container_info").fetchone() != (
                bucket,
            ):
                continue
            row = database.execute(
                "SELECT name, size, content_type, etag, deleted, storage_policy_index "
                "FROM object WHERE name = ? AND deleted = 0",
                (key,),
            ).fetchone()
            database.execute("DELETE FROM object WHERE name = ?", (key,))
            database.execute(
                "INSERT INTO object (created_at, name, size, content_type, etag, deleted, "
                "storage_policy_index) VALUES (?, ?, ?, ?, ?, ?, ?)",
                (f"{moment:016.5f}", *row),
            )
            database.commit()
            return
    raise AssertionError(f"Swift keeps no listing of {bucket}.")

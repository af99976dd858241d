"""A PostgreSQL of the tests' own, which they may stop and start."""

import os
import shutil
import socket
import subprocess
import tempfile
from contextlib import contextmanager
from pathlib import Path

BINARIES = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))


class Cluster:
    """One server in a folder of its own, on a free port."""

    def __init__(self, folder):
        self.folder, self.bin = folder, BINARIES[-1].parent
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.url = f"postgres://dock@127.0.0.1:{self.port}/postgres"
        if os.geteuid() == 0:  # it refuses to run as root
            shutil.chown(folder, "postgres")
        self._run(
            "initdb",
            f"--pgdata={folder}/data",
            "--username=dock",
            "--auth=trust",
            "--encoding=UTF8",
            "--locale=C.UTF-8",
        )

    def _run(self, program, *words):
        begin = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        subprocess.run(
            [*begin, self.bin / program, *words],
            cwd="/tmp",
            check=True,
            stdout=subprocess.DEVNULL,
        )

    def start(self):
        options = (
            f"-c listen_addresses=127.0.0.1 -c port={self.port} "
            "-c unix_socket_directories=''"
        )
        self._run(
            "pg_ctl",
            "start",
            "--wait",
            "--silent",
            f"--pgdata={self.folder}/data",
            f"--log={self.folder}/log",
            f"--options={options}",
        )

    def stop(self, mode="immediate"):
        """Stop it; at once, as a crash does, unless told otherwise."""
        self._run(
            "pg_ctl",
            "stop",
            "--silent",
            f"--mode={mode}",
            f"--pgdata={self.folder}/data",
        )


@contextmanager
def own_cluster():
    """Give a running cluster in a temporary folder; end both."""
    with tempfile.TemporaryDirectory(prefix="dock-pg-") as name:
        cluster = Cluster(Path(name))
        cluster.start()
        try:
            yield cluster
        finally:
            cluster.stop()

"""Run the server and the working program beside it, and start the latter again.

``make run`` uses it. A service manager keeps two units of its own instead (see
``config/deploy/systemd``).
"""

import subprocess
import sys
import threading

SERVER = ["-m", "gunicorn", "--config", "config/deploy/gunicorn.conf.py"]
WORKER = ["manage.py", "work"]
PAUSE_SECONDS = 5.0


def main() -> int:
    """Serve until the server ends; return its exit code."""
    server = subprocess.Popen([sys.executable, *SERVER])  # noqa: S603 - our own words
    ended = threading.Event()
    keeper = threading.Thread(target=_keep_working, args=(ended,))
    keeper.start()
    try:
        code = server.wait()
    except KeyboardInterrupt:  # Ctrl-C reaches the server too
        code = server.wait()
    finally:
        ended.set()
        keeper.join()
    return code


def _keep_working(ended: threading.Event) -> None:
    """Start the working program, and again each time it ends."""
    while not ended.is_set():
        worker = subprocess.Popen([sys.executable, *WORKER])  # noqa: S603 - our own words
        while worker.poll() is None and not ended.wait(0.5):
            pass
        if worker.poll() is None:
            worker.terminate()
            worker.wait()
        ended.wait(PAUSE_SECONDS)


if __name__ == "__main__":
    sys.exit(main())

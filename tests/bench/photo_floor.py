"""The least that can be done with a photo: receive, hash, sync, commit one row."""

import hashlib
import os
import secrets
import sqlite3
from pathlib import Path

FOLDER = Path(os.environ["FLOOR_FOLDER"])
PIECE = 1 << 16


def application(environ, start_response):
    """Keep the body and its row durably, then answer with its hash."""
    left, digest = int(environ.get("CONTENT_LENGTH") or 0), hashlib.sha256()
    draft = FOLDER / secrets.token_hex(8)
    with draft.open("xb") as file:
        while left and (piece := environ["wsgi.input"].read(min(PIECE, left))):
            digest.update(piece)
            file.write(piece)
            left -= len(piece)
        file.flush()
        os.fsync(file.fileno())
    draft.rename(FOLDER / digest.hexdigest())
    folder = os.open(FOLDER, os.O_RDONLY)
    os.fsync(folder)
    os.close(folder)
    rows = sqlite3.connect(FOLDER / "rows.sqlite3", timeout=20)
    with rows:
        rows.execute("PRAGMA synchronous=EXTRA")
        rows.execute("CREATE TABLE IF NOT EXISTS kept (sha256 TEXT)")
        rows.execute("INSERT INTO kept VALUES (?)", [digest.hexdigest()])
    rows.close()
    body = digest.hexdigest().encode()
    start_response("200 OK", [("Content-Length", str(len(body)))])
    return [body]

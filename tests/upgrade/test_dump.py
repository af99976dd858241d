"""The dump of a house reads back, with its full-text table."""

import sqlite3
from contextlib import closing

from tests.upgrade.make_house import dumped

HOUSE = """
CREATE TABLE keys(id INTEGER PRIMARY KEY, text TEXT);
CREATE VIRTUAL TABLE texts USING fts5(
    text, content='keys', content_rowid='id', tokenize='trigram');
CREATE TRIGGER kept BEFORE DELETE ON keys BEGIN SELECT RAISE(ABORT, 'kept'); END;
INSERT INTO keys VALUES (7, 'CBM70011'), (900, 'SSL7728804');
INSERT INTO texts(texts) VALUES ('rebuild');
"""


def test_a_dump_reads_back_with_the_keys_of_its_texts():
    with (
        closing(sqlite3.connect(":memory:")) as house,
        closing(sqlite3.connect(":memory:")) as again,
    ):
        house.executescript(HOUSE)
        again.executescript("\n".join(dumped(house)))
        found = again.execute("SELECT rowid FROM texts WHERE texts MATCH '7728'")
        assert found.fetchall() == [(900,)]
        assert again.execute("SELECT * FROM keys").fetchall() == [
            (7, "CBM70011"),
            (900, "SSL7728804"),
        ]
        left = again.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        assert left.fetchall() == []

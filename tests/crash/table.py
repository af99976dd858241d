"""The table of all crash tests of a run: what was acknowledged, lost, torn."""

_HEAD = ("test", "stops", "acknowledged", "lost", "torn", "end states")
_rows = []


def put(name, tally, *, ends=None):
    """Add a line. ``ends`` counts each end state by its word."""
    states = ends or {
        "rows": tally.rows,
        "rows not yet acknowledged": tally.not_yet_acknowledged,
        "orphans": tally.orphans,
        "temporary files": tally.temporary,
        "pictures": tally.pictures,
        "unread": tally.unread,
    }
    told = ", ".join(f"{count} {word}" for word, count in states.items() if count)
    figures = (tally.stops, tally.acknowledged, tally.lost, tally.torn)
    _rows.append((name, *map(str, figures), told))


def lines_of():
    """Return the table's lines, or none if nothing was put in it."""
    if not _rows:
        return []
    table = [_HEAD, *_rows]
    widths = [max(len(row[column]) for row in table) for column in range(5)]
    return [
        "  ".join(
            [
                row[0].ljust(widths[0]),
                *(row[column].rjust(widths[column]) for column in range(1, 5)),
                row[5],
            ]
        )
        for row in table
    ]

"""The houses that earlier versions left behind, oldest first.

Each is ``NAME.sql.gz`` and ``NAME.files.zip`` beside this file; see ``make_house``.
"""

from pathlib import Path

HOUSES = ("0.2.0", "0.3.0", "0.4.0", "0.5.0")
"""The version of the code that made each house.

0.2.0 was made from the last commit before the drawers, c6175aa; 0.3.0 from the last
one before a receipt ends freight bill by freight bill, be8c5b3; 0.4.0 from the last one
before a claim has letters of its own, f61bc42; 0.5.0 from the last one before a claim is
handed over to its supplier, cf616c0.
"""

HERE = Path(__file__).parent


def sql_of(name):
    """Return the file that holds the house's database as SQL."""
    return HERE / f"{name}.sql.gz"


def files_of(name):
    """Return the archive of the house's originals and packets."""
    return HERE / f"{name}.files.zip"

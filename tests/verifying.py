"""What a verification finds in the tests' own database."""

from inventory.evidence import store
from inventory.evidence.chain_check import Walk, walk_chain
from inventory.evidence.snapshots import snapshot
from inventory.evidence.verification import verify


def report_now(*, with_originals=True):
    """Verify everything; return the report."""
    with snapshot() as moment:
        reading = store.read_original if with_originals else None
        return verify(moment, read_original=reading)


def chain_faults_now():
    """Walk the chain alone; rows that tests made by hand are known to no event."""
    with snapshot() as moment:
        return list(walk_chain(moment, Walk(lambda _event, _rows: None)))


def row_faults_now(noun):
    """Return what is said of the rows of one table."""
    return [said for said in report_now().first if said.startswith(f"{noun} ")]

"""Photos of printed labels: the page of the PDF as a picture."""

import shutil
import subprocess
from datetime import date

from inventory.documents.labels.labels import single_labels_pdf
from inventory.rules.codes.label_content import CrateLabel, codes_of

DAY = date(2026, 11, 20)


def label_of(identifier, name="RK-0042"):
    """Return the content of a label with this identifier."""
    code, bars, readable = codes_of(identifier)
    return CrateLabel(
        name=name,
        code=code,
        bars=bars,
        readable=readable,
        kicker="Reusable crate",
        supplier="Brennwick Works",
        crate_type="Steel rack 72",
        bill="PRO 4471-220, crate 2",
        return_to="Brennwick Works\n4400 Foundry Loop\nHarlow Junction, OH 43999",
    )


def label_photo(identifier, dpi=150):
    """Return a JPEG of the printed label, as a phone would take it."""
    pdftoppm = shutil.which("pdftoppm")
    assert pdftoppm, "pdftoppm is needed to look at a page; it comes with poppler-utils"
    pdf = single_labels_pdf(
        [label_of(identifier)], paper="letter", title="Label", made_on=DAY
    )
    done = subprocess.run(
        [pdftoppm, "-r", str(dpi), "-jpeg", "-singlefile", "-"],
        input=pdf,
        capture_output=True,
        check=True,
    )
    return done.stdout

"""Time and memory of claim files: ``python -m tests.bench.claim_file``. A look, not a test.

``make PHOTOS PAGES`` makes a claim in the data folder of the environment, with so many
photos and so many pages of uploaded PDFs; ``draw CLAIM FOLDER`` draws its file in a
process of its own, which prints seconds and peak memory and writes the PDF.
"""

import io
import math
import os
import random
import resource
import sys
import time
import uuid
from pathlib import Path

import django
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
A_PDF = 10
"""So many pages has each uploaded PDF, at most."""


def photo(dice):
    """Return a photo with grain, so that it weighs what a photo weighs."""
    grain = Image.effect_noise((1600, 1200), 40)
    shade = Image.new("L", (1600, 1200), dice.randrange(60, 180))
    image = Image.merge("RGB", (grain, shade, Image.blend(grain, shade, 0.5)))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=70)
    return out.getvalue() + dice.randbytes(4)


def pdf(count, dice):
    """Return a PDF of so many pages of words."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(612, 792))
    for page in range(count):
        for row in range(40):
            words = f"Page {page + 1}, row {row + 1}: {dice.randrange(10**9)}"
            canvas.drawString(72, 720 - 16 * row, words)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def make(photos, pages, paper="letter"):
    """Make one claim with so many photos and pages, and print its key."""
    from django.core.files.uploadedfile import SimpleUploadedFile

    from claims.models import FindingPhoto
    from inventory.actions.evidence.keeping import keep_evidence
    from inventory.models import User
    from tests.claims.stage import AT, claim_it, set_stage
    from tests.people import cast

    dice = random.Random(photos * 1000 + pages)
    who = cast()
    where = who.riverside
    where.paper = paper
    where.save()
    stage = set_stage(who)
    claim = claim_it(who, stage)

    def keep(data, name, kind):
        return keep_evidence(
            person=User.objects.get(pk=who.tomas.pk),
            at=AT,
            upload=SimpleUploadedFile(name, data),
            client_id=uuid.UUID(int=dice.getrandbits(128)),
            kind=kind,
            shipment=stage.shipment,
        ).evidence

    for number in range(photos):
        row = keep(photo(dice), f"{number}.jpg", "damage")
        FindingPhoto.objects.create(finding=stage.finding, evidence=row)
    kinds = ("bill-of-lading", "freight-bill", "supplier-invoice", "repair-estimate")
    for place, first in enumerate(range(0, pages, A_PDF)):
        count = min(A_PDF, pages - first)
        keep(pdf(count, dice), f"{place}.pdf", kinds[place % len(kinds)])
    sys.stdout.write(f"claim {claim.pk}\n")


def draw(key, folder):
    """Draft, draw and confirm the file of a claim; print seconds and peak memory."""
    from claims.actions.claim.steps import Step
    from claims.actions.packet import drawing, packets
    from claims.models import Claim
    from tests.claims.stage import AT, TODAY

    claim = Claim.objects.get(pk=key)
    person = claim.made_by
    step = Step(person=person, at=AT, today=TODAY, version=claim.version)
    idle = peak()
    draft = timed("draft", lambda: packets.draft_packet(claim=claim, step=step))
    file = Path(folder, f"claim-{key}.pdf")

    def into_file():
        with file.open("w+b") as out:
            drawing.draw_into(out, draft.content)

    into_file()  # what is imported and cached once
    warm = peak()
    timed("draw", into_file)
    seen = packets.Confirmed(draft.tree.size, draft.digest, "along")
    drawn = timed(
        "draft, draw and store",
        lambda: packets.draw_packet(claim=claim, step=step, seen=seen, within=math.inf),
    )
    timed("freeze", lambda: packets.freeze_packet(drawn))
    sys.stdout.write(
        f"{len(draft.content.exhibits)} exhibits, {file.stat().st_size:,} bytes; peak {idle} MB "
        f"idle, {warm} MB after the first, {peak()} MB at the end\n"
    )


def timed(words, work):
    wall, cpu = time.perf_counter(), time.process_time()
    answer = work()
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    sys.stdout.write(f"{words}: {wall:.2f} s, {cpu:.2f} s of them computing\n")
    return answer


def peak():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


if __name__ == "__main__":
    django.setup()
    act, *rest = sys.argv[1:]
    if act == "make":
        make(int(rest[0]), int(rest[1]), *rest[2:])
    else:
        draw(int(rest[0]), rest[1])

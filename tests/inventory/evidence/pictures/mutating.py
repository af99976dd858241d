"""A seeded mutator, and the child that decodes its mutants by the batch.

Run as a script it reads nothing and takes three numbers: the first seed, how many,
and the folder of the seeds' files. It sets the decoder's own limits once, decodes
each mutant as the web side's child would, and prints what became of them.
"""

import json
import random
import sys
import time
from collections import Counter
from pathlib import Path

SLOW = 20.0


def mutant(original, seed):
    """Return the file with some of its bytes flipped, filled, cut or doubled."""
    dice = random.Random(seed)
    data = bytearray(original)
    for _ in range(dice.choice((1, 1, 2, 4, 16))):
        way = dice.randrange(5)
        place = dice.randrange(len(data)) if len(data) > 1 else 0
        if way == 0:
            for _ in range(dice.choice((1, 8, 64))):
                data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        elif way == 1:
            data[place : place + 4] = b"\xff\xff\xff\xff"
        elif way == 2 and len(data) > 64:
            del data[max(place, 16) :]
        elif way == 3:
            data[place:place] = dice.randbytes(dice.choice((1, 4, 64, 1024)))
        else:
            del data[place : place + dice.choice((1, 4, 32))]
        if not data:
            data = bytearray(b"\0")
    return bytes(data)


def main(first, count, folder):
    """Decode the mutants and print a line of JSON: endings, slowest, its seed."""
    originals = [path.read_bytes() for path in sorted(Path(folder).iterdir())]
    sys.path.insert(0, str(Path(__file__).parents[4]))
    from inventory.evidence.pictures import decode

    decode._learn_heic()
    decode.Image.init()
    decode.Image.MAX_IMAGE_PIXELS = decode.MAX_PIXELS
    decode.warnings.simplefilter("ignore")
    limit(decode)
    endings, slowest, slow_seed = Counter(), 0.0, first
    for seed in range(first, first + count):
        data = mutant(originals[seed % len(originals)], seed)
        start = time.perf_counter()
        try:
            facts, pictures = decode._read(data, decode.VERSION)
            ending = "shown" if pictures else facts["error"]
        except Exception as error:  # noqa: BLE001 - as the child itself does
            ending = type(error).__name__
        took = time.perf_counter() - start
        endings[ending] += 1
        if took > slowest:
            slowest, slow_seed = took, seed
    report = {"endings": endings, "slowest": slowest, "seed": slow_seed}
    sys.stdout.write(json.dumps(report))


def limit(decode):
    """Set the child's limits, but processor time for a whole batch."""
    kind = decode.resource
    decode._limit = None
    kind.setrlimit(kind.RLIMIT_AS, (decode.MEMORY, decode.MEMORY))
    kind.setrlimit(kind.RLIMIT_NOFILE, (0, 0))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3])

"""Keep narratives and revisions one after the other, and say each receipt as soon as it is kept.

python -m tests.serve.keep_many PLACE TAG COUNT     (COUNT 0: until somebody stops it)
"""

from __future__ import annotations

import itertools
import sys

from narrate.serve.archive import open_book
from narrate.serve.archive.keep import Told, keep_narrative, keep_revision
from tests.serve.books import passage_of, sheet_of


def main(place: str, tag: str, count: int) -> None:
    book = open_book(place)
    for n in itertools.count(1) if count == 0 else range(1, count + 1):
        passage = passage_of(f"charged it, {tag} {n}. " + "held for a while " * 40)
        kept = keep_narrative(book, passage, sheet_of(passage), Told())
        print(kept.narrative, kept.revision, kept.receipt, flush=True)
        later = sheet_of(passage, added=(f"15 minutes, it stayed, {tag} {n}",), held=True)
        kept = keep_revision(book, kept.narrative, 1, later, later.addenda)
        print(kept.narrative, kept.revision, kept.receipt, flush=True)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))

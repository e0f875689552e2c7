"""The one error that the package raises for a file, a lexicon or a call that it cannot use."""

from __future__ import annotations


class NarrateError(Exception):
    """Something that we cannot use: `where` it is, `what` is wrong, and the `remedy`.

    The command line prints it as one line and ends with status 2; library callers get the three parts.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        self.what = what
        self.where = where
        self.remedy = remedy
        super().__init__(str(self))

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head} {self.remedy}".rstrip()

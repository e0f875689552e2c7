"""What the command line says when something is wrong: one line with what, where and the way out."""

from __future__ import annotations

import errno
import sys
from contextlib import suppress
from pathlib import Path

import click

DONE, NOT_ON_RECORD, CANNOT_USE, STOPPED = 0, 1, 2, 130

_REMEDIES = {
    errno.ENOSPC: ("no space is left on the disk.", "Make room and run it again; nothing was half written."),
    errno.EDQUOT: ("your share of the disk is used up.", "Make room and run it again; nothing was half written."),
    errno.EFBIG: ("the file would be larger than allowed here.", "Write it elsewhere; nothing was half written."),
    errno.EACCES: ("permission is denied.", "Ask for it, or choose another place."),
    errno.EPERM: ("permission is denied.", "Ask for it, or choose another place."),
    errno.EROFS: ("nothing can be written there.", "Choose another place."),
    errno.ENOENT: ("there is no such file or folder.", "Check the spelling of its path."),
    errno.ENOTDIR: ("part of its path is a file, not a folder.", "Check the spelling of its path."),
    errno.EISDIR: ("is a folder, not a file.", "Name a file in it."),
    errno.ENAMETOOLONG: ("the name is too long.", "Choose a shorter one."),
    errno.ELOOP: ("its links go round in a circle.", "Give the path of the file itself."),
    errno.EIO: ("the disk or the connection to it failed.", "Copy the file elsewhere and run it again."),
}


def complain(message: str) -> None:
    """One line on standard error, whatever stands in the message."""
    line = " ".join(message.split())
    with suppress(OSError):  # where even this fails, nobody can be told
        print(f"narrate: {line}", file=sys.stderr, flush=True)


def say_os_error(error: OSError, where: str | Path | None = None) -> str:
    """What the system refused, in plain words: "sheet.docx: permission is denied. ..."."""
    place = where if where is not None else error.filename
    what, remedy = _REMEDIES.get(error.errno or 0, (f"{error.strerror or error}.", ""))
    name = "standard output" if place is None else str(place)
    return f"{name}: {what} {remedy}".rstrip()


def say_call(error: click.ClickException) -> str:
    """A call that cannot be used, with the way to its help."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "narrate"
    return f"{error.format_message().rstrip('.')}. See “{path} --help”."

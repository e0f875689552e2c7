"""The command line: one door for all commands, and one way to say what went wrong.

Results go to standard output, messages to standard error. Exit status 0: done; 1: done, and a required step is not on
record (only where `--strict` asks); 2: the input or the call was wrong. A command's module loads the language tools
only when the command runs, so that help comes at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import suppress

import click

from narrate import __version__
from narrate.core.findings import NarrateError
from narrate.serve.cli import ask, audit, book, history, invoice, lexicon, paper, schema, sheet, why
from narrate.serve.cli.saying import CANNOT_USE, DONE, STOPPED, complain, say_call, say_os_error

_HELP = """Compile a technician's notes into a checked job sheet.

The notes may be typed or dictated: plain text, timed captions (SubRip, WebVTT), the JSON of a speech recogniser, or a
Word document. The sheet tells the parts, amounts and readings, which steps of the job are on record and which are
not, and the words behind each value.

\b
Begin with:
  narrate sheet notes.txt
  narrate sheet notes.srt --out sheet.docx
  narrate sheet --help
"""
_EPILOG = """\b
Exit status:
  0  done
  1  done, and a required step is not on record (only with --strict)
  2  the notes or the call cannot be used; one line on standard error says why
"""


@click.group(
    help=_HELP,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    no_args_is_help=False,
    invoke_without_command=True,
)
@click.version_option(__version__, "--version", prog_name="narrate", message="%(prog)s %(version)s")
@click.pass_context
def narrate(context: click.Context) -> None:
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


narrate.add_command(sheet.sheet)
narrate.add_command(schema.schema)
narrate.add_command(ask.ask)
narrate.add_command(book.book)
narrate.add_command(history.history)
narrate.add_command(invoice.invoice)
narrate.add_command(paper.paper)
narrate.add_command(audit.audit)
narrate.add_command(lexicon.lexicon)
narrate.add_command(why.why)


def run() -> None:
    """The entry point of the installed command."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit status; a user's error is one line on standard error."""
    try:
        status = narrate.main(args=list(arguments), prog_name="narrate", standalone_mode=False)
        sys.stdout.flush()
        return int(status or 0)
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.ClickException as error:
        complain(say_call(error))
    except NarrateError as error:
        complain(str(error))
    except (BrokenPipeError, SystemExit):  # the second is how click ends when the first has come
        _drop_stdout()  # whoever read us has seen enough
        return DONE
    except OSError as error:
        _drop_stdout()
        complain(say_os_error(error))
    except (KeyboardInterrupt, click.Abort):
        _drop_stdout()
        complain("stopped.")
        return STOPPED
    return CANNOT_USE


def _drop_stdout() -> None:
    """Let go of what could not be written, so that the interpreter does not try once more on its way out."""
    with suppress(OSError, ValueError):  # where there is no standard output at all
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


if __name__ == "__main__":
    run()

"""The command line: one file a command, wiring only.

Command modules import nothing heavy before they run, so that ``benchcall --help`` is quick.
"""

from __future__ import annotations

import logging
import sys

import typer

from assistant.commands.archive import archive
from assistant.commands.check import check
from assistant.commands.collect import collect
from assistant.commands.demo import demo
from assistant.commands.hear import hear
from assistant.commands.listen import listen
from assistant.commands.models import models
from assistant.commands.practise import practise
from assistant.commands.profiles import profiles
from assistant.commands.report import report
from assistant.commands.review import review
from assistant.commands.type import type_
from assistant.errors import BenchcallError

app = typer.Typer(
    name="benchcall",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help=(
        "Takes down what you measure while both hands are in the chassis: says each value back, "
        "tells what is out of tolerance and why, and what to check next. Offline."
    ),
    epilog=(
        "Start with: benchcall demo. To have the Tab key complete commands, profiles and sessions "
        "(bash, zsh, fish): benchcall --install-completion"
    ),
)
app.command("demo")(demo)
app.command("listen")(listen)
app.command("hear")(hear)
app.command("type")(type_)
app.command("check")(check)
app.command("report")(report)
app.command("practise")(practise)
app.command("review")(review)
app.command("collect")(collect)
app.command("archive")(archive)
app.command("models")(models)
app.command("profiles")(profiles)


class _Harmless(logging.Formatter):
    """A warning may name a file, and a file may have any name."""

    def format(self, record: logging.LogRecord) -> str:
        from assistant.report.printable import printable

        return printable(super().format(record))


def main() -> None:
    """Exit codes: 0 done, 1 the input was refused and the message says why, 2 usage."""
    if logging.lastResort is not None:
        logging.lastResort.setFormatter(_Harmless())
    try:
        app()
    except BenchcallError as error:
        from assistant.report.printable import printable

        sys.stderr.writelines(f"{printable(line)}\n" for line in str(error).split("\n"))
        sys.exit(1)
    except KeyboardInterrupt:
        sys.stderr.write("Stopped. What was said back is on the disk.\n")
        sys.exit(130)

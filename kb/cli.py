"""The command `matchmark`: a thin face over the same calls that scripts use.

Exit status: 0 fits (or done), 1 does not fit, 2 usage or bad input, 3 cannot tell.
Only what a command needs is imported by it: `check` answers in a few times the time that Python takes to start.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from typing import Any, NoReturn

from kb.errors import Fault, near
from kb.terminal import complain, say

DATABASE = "matchmark.db"
Command = Callable[[argparse.Namespace], int]


def run() -> NoReturn:
    """The console script: `main`, and out.

    A check is over before collecting garbage pays, and taking Python down piece by piece would cost it a seventh of
    its time with nothing left to tidy: it reads, prints and closes what it opened.
    """
    short = sys.argv[1:2] == ["check"]
    if not short:
        sys.exit(main())
    gc.disable()
    status = main()
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, AttributeError):  # closed from outside: whoever read it has seen enough
            stream.flush()
    os._exit(status)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; its exit status."""
    words = sys.argv[1:] if argv is None else list(argv)
    parser = build_parser(words[0] if words else "")
    try:
        given = _given(parser, words)
        run: Command = given.run
        return run(given)
    except Fault as fault:
        complain(str(fault))
        return 2
    except UnicodeEncodeError:
        complain("a word on the command line holds bytes that are no text\n  next: type it afresh")
        return 2
    except BrokenPipeError:  # whoever read the output has seen enough (`| head`); nothing more can be said to them
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        complain("stopped; the database is as it was before")
        return 130
    except Exception as error:  # a person gets words, never a traceback
        if os.environ.get("MATCHMARK_TRACEBACK"):
            raise
        complain(
            f"this is a fault in Matchmark itself: {type(error).__name__}: {str(error)[:200]}\n"
            "  next: run it again with MATCHMARK_TRACEBACK=1 and report what it prints; your records are as they were"
        )
        return 2


def _given(parser: argparse.ArgumentParser, words: Sequence[str]) -> argparse.Namespace:
    """The arguments; words that stand behind a flag still belong to what stands before it (`check A --json b=C`)."""
    given, rest = parser.parse_known_args(words)
    several = getattr(given, "several", "")
    if rest and (not several or any(word.startswith("-") for word in rest)):
        flags = [word for word in rest if word.startswith("-")] or rest
        step = f"see matchmark {given.command} --help"
        raise Fault(f"{given.command} takes no {' '.join(flags)[:200]}", step=step)
    if rest:
        getattr(given, several).extend(rest)
    return given


class _Help(argparse.HelpFormatter):
    """Help of one width: asking for the terminal's would import much for nothing in every command."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=80)


class _Parser(argparse.ArgumentParser):
    """argparse with our words for a misspelt command or choice."""

    first = ""

    def __init__(self, **given: Any) -> None:
        super().__init__(**{"formatter_class": _Help, **given})

    def error(self, message: str) -> Any:
        head, sep, choices = message.partition(" (choose from ")
        what, _, word = head.removeprefix("argument ").partition(": invalid choice: ")
        step = f"see {self.prog} --help"
        if sep and word:
            known = [each.strip("'\" ") for each in choices.rstrip(")").split(",")]
            word = word.strip("'\"")
            if what == "COMMAND" and self.first.startswith("-"):
                step = f"write the command first, then its flags; {step}"
            else:
                step = f"{near(word, known) or 'it is one of ' + ', '.join(known)}; {step}"
            short = word if len(word) <= 60 else word[:57] + "..."
            message = f"there is no {what.lower()} {short!r}" if what.isupper() else f"{what} cannot be {short!r}"
        complain(f"{message if len(message) <= 300 else message[:297] + '...'}\n  next: {step}")
        raise SystemExit(2)

    def _print_message(self, message: str, file: Any = None) -> None:
        say(message, end="")


def build_parser(first: str = "") -> argparse.ArgumentParser:
    """The command line; `kb/publish.py` writes its reference from it.

    first: the command that is going to be run, so that the flags of the others need not be built.
    """
    parser = _Parser(
        prog="matchmark",
        description="Will these parts fit together? A knowledge base and fitment rules for engine swaps.",
        epilog="Exit status: 0 fits or done, 1 does not fit, 2 usage or bad input, 3 cannot tell.",
    )
    parser.first = first
    from kb import __version__

    parser.add_argument("--version", action="version", version=f"matchmark {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, (words, where) in COMMANDS.items():
        if first in COMMANDS and name != first:
            continue
        sub = commands.add_parser(name, help=words, description=words[:1].upper() + words[1:] + ".")
        sub.add_argument(
            "--db",
            metavar="FILE",
            default=os.environ.get("MATCHMARK_DB") or DATABASE,
            help=f"the database (default: $MATCHMARK_DB, else {DATABASE})",
        )
        _declare(where, sub)
    return parser


def _declare(where: str, sub: argparse.ArgumentParser) -> None:
    """Let the command's own module say its flags: `kb.commands.check:declare`."""
    module, _, name = where.partition(":")
    getattr(import_module(module), name)(sub)


# Name of the command: what it does in words, and where its flags are declared.
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("check the built-in sample build and say what to try next", "kb.commands.databases:demo"),
    "init": ("make a database, empty or with the sample", "kb.commands.databases:init"),
    "load": ("read record files into the database, all or nothing", "kb.commands.databases:load"),
    "merge": ("join another person's records to yours: nothing is overwritten unasked", "kb.commands.merge:declare"),
    "dump": ("write the database back into record files", "kb.commands.databases:dump"),
    "backup": ("copy the whole base, pictures and all, while it is in use", "kb.commands.backup:declare"),
    "restore": ("put a copy back, keeping what was there", "kb.commands.backup:declare_restore"),
    "rescue": ("save what can be saved of a damaged database into a new one", "kb.commands.backup:declare_rescue"),
    "blank": ("print a record sheet to fill in while you measure", "kb.commands.blank:declare"),
    "check": ("say whether parts fit, why not, and what to measure", "kb.commands.check:declare"),
    "ready": ("say what still stands before priming, cranking, first fire, driving", "kb.commands.ready:declare"),
    "done": ("tick what is done at the car, or list what is to be ticked", "kb.commands.done:declare"),
    "reading": ("write down a measurement of a part, or what a gauge showed", "kb.commands.reading:declare"),
    "fill": ("say which parts fill the roles of a build, or make a new build", "kb.commands.fill:declare"),
    "fuel": ("jets, kit and order for running a second fuel, and the way back", "kb.commands.fuel:declare"),
    "measure": ("list the measurements worth taking, print and enter them", "kb.commands.measure:declare"),
    "find": ("list the parts that fit a role, or two or three roles together", "kb.commands.find:declare"),
    "compare": ("say what is better, worse, unknown or dearer in another build", "kb.commands.compare:declare"),
    "plan": ("the cheapest purchases that make a build good, or the smallest change", "kb.commands.plan:declare"),
    "why-not": ("say why nothing fits, and what would open a way", "kb.commands.why_not:declare"),
    "buy": ("list what is still to be got, where, and what to look at before paying", "kb.commands.buy:declare"),
    "rules": ("list the rules, or show one with its limits and sources", "kb.commands.rules:declare"),
    "incompat": ("record an incompatibility that you found, list, review them", "kb.commands.incompat:declare"),
    "readings": ("hold what gauges showed against the accepted bands", "kb.commands.readings:declare"),
    "audit": ("say which recorded incompatibilities the rules foresee", "kb.commands.audit:declare"),
    "trace": ("go from a symptom to its cause with the fewest tests", "kb.commands.trace:declare"),
    "circuits": ("show what is joined to what, and where a circuit is broken", "kb.commands.circuits:declare"),
    "sheet": ("print the steps of the first start that a build calls for", "kb.commands.sheet:declare"),
    "serve": ("browse the database and its pages", "kb.commands.serve:declare"),
}


if __name__ == "__main__":
    run()

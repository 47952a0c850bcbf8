"""The command `matchmark`: a thin face over the same calls that scripts use.

Exit status: 0 fits (or done), 1 does not fit, 2 usage or bad input, 3 cannot tell.
Only what a command needs is imported by it: `check` answers in a few times the time that Python takes to start.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from kb.errors import Fault, near
from kb.terminal import complain, say, who, width

if TYPE_CHECKING:
    from kb.chance import Settings

DATABASE = "matchmark.db"
Command = Callable[[argparse.Namespace], int]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the console script's entry point."""
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
    for name, (words, declare) in COMMANDS.items():
        if first in COMMANDS and name != first:
            continue
        sub = commands.add_parser(name, help=words, description=words[:1].upper() + words[1:] + ".")
        sub.add_argument(
            "--db",
            metavar="FILE",
            default=os.environ.get("MATCHMARK_DB") or DATABASE,
            help=f"the database (default: $MATCHMARK_DB, else {DATABASE})",
        )
        declare(sub)
    return parser


def _answer_options(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--json", action="store_true", help="print plain data for a script")
    sub.add_argument("--units", choices=("mm", "in", "in64"), default="mm", help="units of what is printed")


# -- demo, init, load, dump ----------------------------------------------------------------------------------------


def _demo(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", nargs="?", default="drover", help="build of the sample to check (default: drover)")
    sub.set_defaults(run=_run_demo)


def _run_demo(given: argparse.Namespace) -> int:
    from kb.report import as_text

    if not os.path.exists(given.db):
        from kb.store.load import init

        init(given.db, sample=True)
    from kb.base import Base

    with Base(given.db) as base:
        answer = base.check(given.build)
    say(as_text(answer))
    say(f"The sample is in {given.db}. Try next:")
    say("  matchmark check drover-good             the same engine with parts that fit")
    say("  matchmark serve                         browse it, then open the address that it prints")
    return 0


def _init(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", nargs="?", help="the database to make (default: what --db says)")
    sub.add_argument("--sample", action="store_true", help="fill it with the invented sample scenario")
    sub.set_defaults(run=_run_init)


def _run_init(given: argparse.Namespace) -> int:
    from kb.store.load import init

    path = given.file or given.db
    with _Progress() as progress:
        report = init(path, sample=given.sample, by=who(), progress=progress)
    say(f"made {path}" + (f": {report}" if given.sample else ", empty: fill it with matchmark load"))
    return 0


def _load(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("paths", nargs="+", metavar="PATH", help="record files (YAML, JSON, CSV) or folders of them")
    sub.add_argument(
        "--keep-good", action="store_true", help="load the records without faults even if others have some"
    )
    sub.add_argument("--by", default="", help="who says so (default: your login name)")
    sub.set_defaults(run=_run_load, several="paths")


def _run_load(given: argparse.Namespace) -> int:
    from kb.store.load import load

    with _Progress() as progress:
        report = load(given.db, given.paths, by=given.by or who(), keep_good=given.keep_good, progress=progress)
    for fault in report.faults:
        complain(str(fault))
    say(f"{given.db}: {report}")
    return 2 if report.faults else 0


def _dump(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("folder", help="folder for the record files, one a record")
    sub.add_argument("--form", choices=("yaml", "json", "csv"), default="yaml", help="form of the files")
    sub.set_defaults(run=_run_dump)


def _run_dump(given: argparse.Namespace) -> int:
    from kb.store.dump import dump

    say(f"{given.folder}: {dump(given.db, given.folder, form=given.form)}")
    return 0


class _Progress:
    """A progress bar on a terminal, one a stage of the work; nothing where nobody watches."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._stage = ""

    def __enter__(self) -> Callable[[str, int, int], None]:
        return self._tell

    def __exit__(self, *_: object) -> None:
        self._close()

    def _close(self) -> None:
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None

    def _tell(self, stage: str, done: int, total: int) -> None:
        if stage != self._stage:
            from click import progressbar

            self._close()
            self._stage = stage
            self._bar = progressbar(length=total, label=stage, file=sys.stderr, hidden=not sys.stderr.isatty())
            self._bar.__enter__()
        self._bar.update(done - self._bar.pos)


# -- blank ---------------------------------------------------------------------------------------------------------


def _blank(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("kinds", nargs="*", metavar="KIND", help="kinds of part (pan pickup), or build")
    sub.add_argument("--role", action="append", default=[], help="the kind that fills this role (may be repeated)")
    sub.add_argument("--all", action="store_true", help="every kind by family, and a build: a whole car")
    sub.add_argument("--form", choices=("yaml", "csv"), default="yaml", help="a sheet, or the header of a table")
    sub.add_argument("--out", default="", metavar="FILE", help="write it to this new file")
    sub.set_defaults(run=_run_blank, several="kinds")


def _run_blank(given: argparse.Namespace) -> int:
    from kb import blank

    kinds = blank.kinds_asked(given.kinds, given.role, given.all)
    if given.form == "csv" and len(kinds) > 1:
        raise Fault("a table holds one kind", place="--form csv", step="name one kind")
    text = blank.header(kinds[0]) if given.form == "csv" else blank.sheets(kinds)
    if given.out:
        blank.write(given.out, text)
        what = "the header of a table" if given.form == "csv" else f"sheets of {', '.join(kinds[:3])}"
        more = f" and {len(kinds) - 3} more" if len(kinds) > 3 else ""
        say(f"made {given.out}: {what}{more}; fill it in, then: matchmark load {given.out}")
    else:
        say(text, end="")
    return 0


# -- check ---------------------------------------------------------------------------------------------------------


def _check(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what",
        nargs="+",
        metavar="WHAT",
        help="a build, or role=part pairs (pan=deep-pan pickup=short-tube), or values to try (pan.sump_depth='188 mm')",
    )
    sub.add_argument("--rule", action="append", default=[], help="ask this rule only (may be repeated)")
    sub.add_argument(
        "--subsystem", default="", help="ask the rules of one subsystem only: oil, sealing, clearance, trigger"
    )
    sub.add_argument("--limit", action="append", default=[], metavar="RULE.LIMIT=VALUE", help="a limit of your own")
    sub.add_argument("--fits-at", type=float, help="probability from which it says fits (default 0.975)")
    sub.add_argument("--not-at", type=float, help="probability up to which it says does not fit (default 0.025)")
    sub.add_argument("--seed", type=int, default=1, help="seed of the random draws")
    sub.add_argument("--full", action="store_true", help="show inputs and reasons of what fits, too")
    _answer_options(sub)
    sub.set_defaults(run=_run_check, several="what")


def _run_check(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.report import EXIT, as_text

    build, roles, overrides = _targets(given.what)
    limits: dict[str, str] = {}
    for text in given.limit:
        _once(limits, *_pair(text, "--limit"))
    with Base(given.db) as base:
        settings = _settings(given, base.settings(build))
        answer = base.check(
            build, roles, overrides, limits, rules=given.rule, subsystem=given.subsystem, settings=settings
        )
    if given.json:
        _print_json(answer, given.units)
    else:
        brief = False if given.rule or given.subsystem else None  # who asks for a part of it wants the details
        say(as_text(answer, system=given.units, width=width(), full=given.full, brief=brief), end="")
    return EXIT[answer.verdict]


def _print_json(answer: Any, system: str) -> None:
    import json

    from kb.report import as_json

    say(json.dumps(as_json(answer, system=system), indent=2, ensure_ascii=False))


def _settings(given: argparse.Namespace, usual: Settings) -> Settings:
    """Settings from flags; where there is none, that of the build counts."""
    from kb.chance import Settings

    fits_at = usual.fits_at if given.fits_at is None else given.fits_at
    not_at = usual.not_at if given.not_at is None else given.not_at
    return Settings(fits_at, not_at, seed=given.seed)


def _targets(words: Iterable[str]) -> tuple[str, dict[str, str], dict[str, str]]:
    """(build, roles, overrides) from the words of `check`."""
    build = ""
    roles: dict[str, str] = {}
    overrides: dict[str, str] = {}
    for word in words:
        if "=" not in word:
            if build:
                raise Fault(
                    f"two builds are named: {build[:40]} and {word[:40]}", step="name one build; parts are role=part"
                )
            build = word
            continue
        name, value = _pair(word, "WHAT")
        _once(overrides if "." in name else roles, name, value)
    return build, roles, overrides


def _once(target: dict[str, str], name: str, value: str) -> None:
    if name in target:
        raise Fault(f"{name[:60]} is given twice", place=f"{name[:60]}={value[:40]}", step="give it once")
    target[name] = value


def _pair(word: str, where: str) -> tuple[str, str]:
    name, sep, value = word.partition("=")
    if not sep or not name.strip() or not value.strip():
        raise Fault(f"{word[:60]!r} is no name=value", place=where, step="write for example pan=deep-pan")
    return name.strip(), value.strip()


# -- fuel ----------------------------------------------------------------------------------------------------------


def _fuel(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("what", nargs="+", metavar="WHAT", help="a build, or carburettor=part second_fuel=part, or both")
    sub.add_argument("--to", default="second_fuel", help="role of the fuel to change to (default: second_fuel)")
    _answer_options(sub)
    sub.set_defaults(run=_run_fuel)


def _run_fuel(given: argparse.Namespace) -> int:
    import textwrap

    from kb.base import Base
    from kb.fuel_change import as_lines, fuel_change

    build, roles, overrides = _targets(given.what)
    with Base(given.db) as base:
        found = fuel_change(base.build(build, roles, overrides), given.to)
    if given.json:
        import json

        from kb.report import plain

        say(json.dumps(plain(found), indent=2, ensure_ascii=False))
        return 0
    for line in as_lines(found, given.units):
        indent = " " * (len(line) - len(line.lstrip()) + 3)
        say("\n".join(textwrap.wrap(line, width(), subsequent_indent=indent if line.startswith(" ") else "") or [""]))
    return 0


# -- rules ---------------------------------------------------------------------------------------------------------


def _rules(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("rule", nargs="?", help="show this rule whole; without it, list all")
    sub.add_argument("--subsystem", default="", help="list the rules of one subsystem")
    sub.add_argument("--roles", action="store_true", help="list the roles and the features that each has")
    _answer_options(sub)
    sub.set_defaults(run=_run_rules)


def _run_rules(given: argparse.Namespace) -> int:
    from kb import catalogue

    if given.roles:
        say(catalogue.roles_text(given.json, width()), end="")
    elif given.rule:
        say(catalogue.rule_text(given.rule, given.json, given.units, width()), end="")
    else:
        say(catalogue.rules_text(given.subsystem, given.json, width()), end="")
    return 0


# -- incompat ------------------------------------------------------------------------------------------------------


def _incompat(sub: argparse.ArgumentParser) -> None:
    from kb.incompat_cli import declare

    declare(sub)


# -- serve ---------------------------------------------------------------------------------------------------------


def _serve(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    sub.add_argument("--port", type=int, default=8640, help="port (default: 8640; 0 takes a free one)")
    sub.add_argument("--public", action="store_true", help="for a club's server: nothing can be written")
    sub.set_defaults(run=_run_serve)


def _run_serve(given: argparse.Namespace) -> int:
    from kb.web.serve import serve

    return serve(given.db, host=given.host, port=given.port, public=given.public)


COMMANDS: dict[str, tuple[str, Callable[[argparse.ArgumentParser], None]]] = {
    "demo": ("check the built-in sample build and say what to try next", _demo),
    "init": ("make a database, empty or with the sample", _init),
    "load": ("read record files into the database, all or nothing", _load),
    "dump": ("write the database back into record files", _dump),
    "blank": ("print a record sheet to fill in while you measure", _blank),
    "check": ("say whether parts fit, why not, and what to measure", _check),
    "fuel": ("jets, kit and order for running a second fuel, and the way back", _fuel),
    "rules": ("list the rules, or show one with its limits and sources", _rules),
    "incompat": ("record an incompatibility that you found, list, review them", _incompat),
    "serve": ("browse the database and its pages", _serve),
}


if __name__ == "__main__":
    raise SystemExit(main())

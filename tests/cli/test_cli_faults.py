"""Bad input on the command line: a plain message, the place, the next step, status 2, and never a traceback."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tests.cli.running import Ran, process

Run = Callable[..., Ran]
LONG = "x" * 10_000


@pytest.mark.parametrize(
    ("words", "message", "step"),
    [
        # builds, parts, roles
        (("drovr",), "no build named 'drovr'", "did you mean drover"),
        (("zzzz",), "no build named 'zzzz'", "there are: drover"),
        (("pan=calder-38-pn",), "no part named 'calder-38-pn'", "did you mean calder-38-pan"),
        (("pann=calder-38-pan",), "no role named 'pann'", "did you mean pan"),
        (("qqq=calder-38-pan",), "no role named 'qqq'", "matchmark rules --roles"),
        (("pan=calder-38-pickup",), "is a pickup, and the role pan takes a pan", "did you mean calder-38-"),
        (("pan:=calder-38-pan",), "cannot tell two of a role apart", "hose:return"),
        (("drover", "drover-good"), "two builds are named", "name one build"),
        (("drover", "pan=calder-38-pan", "pan=calder-33-pan"), "pan is given twice", "give it once"),
        (("pan.sump_depth=188 mm",), "no part is named", "name a build"),
        (("pickup=calder-38-pickup", "pan.sump_depth=188 mm"), "no part fills the role pan", "pan=..."),
        (("",), "no part is named", "name a build"),
        (("=",), "'=' is no name=value", "pan=deep-pan"),
        (("pan=",), "'pan=' is no name=value", "pan=deep-pan"),
        # features and values
        (
            ("drover", "pan.sump_dept=188 mm"),
            "no feature of the role 'pan' named 'sump_dept'",
            "did you mean sump_depth",
        ),
        (("drover", "pan.qqq=188 mm"), "no feature of the role 'pan' named 'qqq'", "matchmark rules --roles"),
        (("drover", "pan.sump_depth=3 bar"), "is a pressure (bar) where a length is due", "write a length"),
        (
            ("drover", "oil_pump.depression_allowed=3 mm"),
            "is a length (mm) where a pressure is due",
            "write a pressure",
        ),
        (("drover", "pan.sump_depth=188"), "'188' has no unit", "188 mm"),
        (("drover", "pan.sump_depth=190 in"), "4826 mm is absurd", "plausible is 40 mm to 320 mm"),
        (("drover", "pan.sump_depth=-3 mm"), "-3 mm is negative", "plausible is"),
        (("drover", "pan.sump_depth=0 mm"), "0 mm cannot be", "plausible is"),
        (("drover", "pan.sump_depth=nan"), "a number is due", "for example"),
        (("drover", "pan.sump_depth=nan mm"), "a number is due", "for example"),
        (("drover", "pan.sump_depth=inf mm"), "a number is due", "for example"),
        (("drover", "pan.sump_depth=Infinity"), "a number is due", "for example"),
        (("drover", "pan.sump_depth=1e999 mm"), "out of any range", "ordinary size"),
        (("drover", "pan.sump_depth=1e300 mm"), "absurd", "plausible is"),
        (("drover", "pan.sump_depth=190 mm +/- 9 m"), "a tolerance of 9000 mm is absurd", "plausible is"),
        (("drover", "pan.sump_depth=1/2-20"), "is an inch thread", "write 1/2 in"),
        (("drover", "pan.construction=brass"), "no choice for construction named 'brass'", "cast, stamped, welded"),
        (("drover", "pan.rail_pattern=calder-83"), "no choice for rail_pattern", "did you mean calder-38"),
        (("drover", "pickup.brace=maybe"), "'maybe' is neither yes nor no", "yes or no"),
        (("drover", "pickup.flange_bolts=²"), "is no whole number", "digits"),
        (("drover", "pickup.flange_bolts=-1"), "is no whole number", "digits"),
        (("drover", "pickup.flange_bolts=" + "9" * 5000), "is no whole number", "digits"),
        (("drover", "pan.flange=3 mm"), "flange is a list", "flange.ENTRY.FIELD"),
        (("drover", "pan.flange.P1=3 mm"), "no field of flange named ''", "height"),
        (("drover", "pan.flange.P1.hight=3 mm"), "no field of flange named 'hight'", "did you mean height"),
        (("drover", "pan.flange.P9.height=3 mm"), "no entry of flange named 'P9'", "did you mean P"),
        (("drover", "pan.sump_depth.P1.height=3 mm"), "sump_depth has no entries", "sump_depth=value"),
        (("drover", "block.stations.P1.x=99 m"), "beyond any engine bay", "check the unit"),
        # rules, limits, settings
        (("drover", "--rule", "pickup-flor-gap"), "no rule named 'pickup-flor-gap'", "did you mean pickup-floor-gap"),
        (("drover", "--rule", "qqq"), "no rule named 'qqq'", "matchmark rules"),
        (("drover", "--subsystem", "seling"), "no subsystem named 'seling'", "did you mean sealing"),
        (("drover", "--limit", "pickup-floor-gap.leest=2 mm"), "no limit of pickup-floor-gap named 'leest'", "least"),
        (("drover", "--limit", "pickup-flor-gap.least=2 mm"), "no rule named", "did you mean pickup-floor-gap"),
        (("drover", "--limit", "pickup-floor-gap.least=2 bar"), "where a length is due", "write a length"),
        (("drover", "--limit", "pickup-floor-gap.least=2 +/- 1 mm"), "takes no tolerance", "one value"),
        (("drover", "--limit", "pickup-floor-gap=2 mm"), "no limit of pickup-floor-gap named ''", "pickup-floor-gap"),
        (("drover", "--limit", "pickup-floor-gap"), "is no name=value", "for example"),
        (
            ("drover", "--limit", "pickup-floor-gap.least=2 mm", "--limit", "pickup-floor-gap.least=3 mm"),
            "is given twice",
            "once",
        ),
        (("drover", "--fits-at", "2"), "cannot both hold", "0 <= not_at"),
        (("drover", "--fits-at", "nan"), "cannot both hold", "0 <= not_at"),
        (("drover", "--not-at=-1"), "cannot both hold", "0 <= not_at"),
        (("drover", "--fits-at", "much"), "invalid float value: 'much'", "matchmark check --help"),
        (("drover", "--seed=-1"), "cannot be made", "seed >= 0"),
        (("drover", "--units", "furlong"), "--units cannot be 'furlong'", "it is one of mm, in, in64"),
        (("drover", "--frobnicate"), "check takes no --frobnicate", "matchmark check --help"),
        (("drover", "--json", "pan=calder-38-pn"), "no part named 'calder-38-pn'", "did you mean calder-38-pan"),
        ((), "required: WHAT", "matchmark check --help"),
    ],
)
def test_a_bad_check_is_told_with_the_next_step(check: Run, words: tuple[str, ...], message: str, step: str) -> None:
    ran = check(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert message in ran.err
    assert step in ran.step


@pytest.mark.parametrize(
    ("words", "message", "step"),
    [
        ((), "required: COMMAND", "matchmark --help"),
        (("chek",), "no command 'chek'", "did you mean check"),
        (("qqq",), "no command 'qqq'", "it is one of demo, init, load"),
        (("--db", "x.db", "check", "drover"), "no command 'x.db'", "write the command first"),
        (("incompat",), "required: ACTION", "matchmark incompat --help"),
        (("incompat", "lst"), "no action 'lst'", "did you mean list"),
        (("incompat", "show"), "required: id", "matchmark incompat show --help"),
        (("incompat", "refute", "x"), "required: --reason", "matchmark incompat refute --help"),
        (("incompat", "list", "--status", "gone"), "--status cannot be 'gone'", "reported, confirmed, refuted"),
        (("rules", "qqq"), "no rule named 'qqq'", "matchmark rules"),
        (("rules", "pickup-flor-gap"), "no rule named", "did you mean pickup-floor-gap"),
        (("rules", "--subsystem", "qqq"), "no subsystem named 'qqq'", "it is one of"),
        (("load",), "required: PATH", "matchmark load --help"),
        (("dump",), "required: folder", "matchmark dump --help"),
        (("dump", "out", "--form", "xml"), "--form cannot be 'xml'", "did you mean yaml"),
        (("serve", "--port", "many"), "invalid int value: 'many'", "matchmark serve --help"),
    ],
)
def test_bad_words_for_other_commands_are_told(run: Run, words: tuple[str, ...], message: str, step: str) -> None:
    ran = run(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert message in ran.err
    assert step in ran.step


@pytest.mark.parametrize(
    "words",
    [
        (LONG,),
        (f"pan={LONG}",),
        (f"{LONG}=calder-38-pan",),
        ("drover", f"{LONG}.sump_depth=3 mm"),
        ("drover", f"pan.{LONG}=3 mm"),
        ("drover", f"pan.sump_depth={LONG}"),
        ("drover", "pan.sump_depth=" + "9" * 10_000),
        ("drover", f"pan.flange.{LONG}.height=3 mm"),
        ("drover", "--rule", LONG),
        ("drover", "--subsystem", LONG),
        ("drover", "--limit", f"{LONG}.least=2 mm"),
        ("drover", "--limit", f"pickup-floor-gap.{LONG}=2 mm"),
        ("drover", "--limit", LONG),
        ("drover", "--units", LONG),
        ("drover", f"--{LONG}"),
        ("drover", "--seed", LONG),
        ("drover", LONG),
        (f"pan:{LONG}=calder-38-pan",),
        ("drover", f"pan.construction={LONG}"),
        ("drover", f"block.rail_pattern={LONG}"),
    ],
)
def test_ten_thousand_characters_are_refused_in_a_few(check: Run, words: tuple[str, ...]) -> None:
    ran = check(*words)
    assert ran.status == 2
    assert 0 < len(ran.err) < 4000
    assert LONG not in ran.err


ESCAPES = "\x1b[31mred\x1b]0;title\x07\x9b2J\u202egnp.exe"


@pytest.mark.parametrize(
    "words",
    [
        (ESCAPES,),
        (f"pan={ESCAPES}",),
        (f"{ESCAPES.replace('.', '')}=calder-38-pan",),
        ("drover", f"pan.{ESCAPES}=3 mm"),
        ("drover", f"pan.sump_depth={ESCAPES}"),
        ("drover", f"pan.construction={ESCAPES}"),
        ("drover", "--rule", ESCAPES),
        ("drover", f"--{ESCAPES}"),
        ("drover", "--units", ESCAPES),
        ("drover", "--limit", ESCAPES),
        ("drover", f"block.rail_pattern={ESCAPES}"),
        ("--db", ESCAPES, "drover"),
    ],
)
def test_what_steers_a_terminal_is_written_out(check: Run, words: tuple[str, ...]) -> None:
    ran = check(*words)
    assert ran.status == 2
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e]", ran.err + ran.out)
    assert "x1b[31m" in ran.err or "u001b[31m" in ran.err


SQL = "x'; DROP TABLE part; --"
HTML = "<script>alert(1)</script>"


@pytest.mark.parametrize(
    "name", [SQL, HTML, '" OR 1=1 --', "%s%n", "../../etc/passwd", "-", "NULL", "0", "é", "軸", "\n"]
)
def test_odd_names_are_names_that_do_not_exist(check: Run, name: str) -> None:
    assert check(name if "=" not in name else f"pan={name}").status == 2
    assert check(f"pan={name}").status == 2
    assert check("drover-good").status == 0  # and everything is still there


def test_bytes_that_are_no_text_are_refused(sample: str) -> None:
    for words in (
        (b"\xff\xfe",),
        (b"pan=\xff",),
        (b"drover", b"block.rail_pattern=\xff"),
        (b"drover", b"--rule", b"\xff"),
    ):
        ran = process("check", "--db", sample, *[word.decode("utf-8", "surrogateescape") for word in words])
        assert ran.status == 2
        assert "next: " in ran.err


def test_a_fault_of_the_program_is_owned_up_to_without_a_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], sample: str
) -> None:
    from kb.base import Base
    from kb.cli import main

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by hand")

    monkeypatch.setattr(Base, "check", broken)
    monkeypatch.delenv("MATCHMARK_TRACEBACK", raising=False)
    assert main(["check", "--db", sample, "drover"]) == 2
    err = capsys.readouterr().err
    assert "a fault in Matchmark itself: ZeroDivisionError: by hand" in err
    assert "MATCHMARK_TRACEBACK=1" in err
    assert "Traceback" not in err
    monkeypatch.setenv("MATCHMARK_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        main(["check", "--db", sample, "drover"])

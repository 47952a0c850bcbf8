"""The guides say what the commands really do: every `$ matchmark ...` in them is run, in order, in one folder."""

from __future__ import annotations

import os
import re
import shlex
from pathlib import Path

import pytest

from kb.cli import main
from tests.pictures import JPEG

DOCS = Path(__file__).parents[2] / "docs"
BLOCK = re.compile(r"```(\w+)\n(.*?)```", re.DOTALL)


def steps(page: str) -> list[tuple[str, str]]:
    """(sort, content) of the page's fenced blocks."""
    return BLOCK.findall((DOCS / page).read_text(encoding="utf-8"))


def commands(block: str) -> list[tuple[list[str], list[str]]]:
    """(words of the command, lines that it must print in this order) of a console block."""
    found: list[tuple[list[str], list[str]]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((shlex.split(line[2:]), []))
        elif line.strip():
            found[-1][1].append(line)
    return found


@pytest.mark.parametrize("page", ["first-guide.md", "knowledge.md", "whole-build.md"])
def test_guide(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("MATCHMARK_DB", raising=False)
    (tmp_path / "ring.jpg").write_bytes(JPEG)  # the picture that a guide adds
    ran = 0
    for sort, content in steps(page):
        if sort == "yaml" or (sort == "text" and content.startswith("# ")):
            name = content.splitlines()[0].removeprefix("# ").strip()
            Path(name).write_text(content, encoding="utf-8")
        elif sort == "console":
            for words, due in commands(content):
                assert words[0] == "matchmark"
                status = main(words[1:])
                out, err = capsys.readouterr()
                assert status in (0, 1, 3), err
                ran += 1
                at = 0
                for line in due:
                    wanted = line.removesuffix("...").rstrip() if line.endswith("...") else line
                    at = out.find(wanted, at)
                    assert at >= 0, f"{' '.join(words)} does not print {wanted!r} (in this order):\n{out}"
    assert ran >= 8


def test_links_between_pages_lead_somewhere() -> None:
    top = DOCS.parent
    pages = [*DOCS.rglob("*.md"), top / "README.md", top / "DEVELOPERS.md"]
    assert len(pages) > 20
    for page in pages:
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{os.path.relpath(page, top)} points to {target}"

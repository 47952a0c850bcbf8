"""One sample database for all tests, and the command run in this process."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.cli import main
from kb.store.load import init
from tests.cli.running import Ran


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The sample as a database that no test writes to."""
    path = tmp_path_factory.mktemp("sample") / "sample.db"
    init(path, sample=True)
    path.chmod(0o444)
    return str(path)


@pytest.fixture
def own(sample: str, tmp_path: Path) -> str:
    """A copy of the sample for one test to write to."""
    path = tmp_path / "own.db"
    shutil.copyfile(sample, path)
    return str(path)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """The command, run in this process: much quicker than a process of its own."""
    monkeypatch.delenv("MATCHMARK_DB", raising=False)

    def go(*words: str) -> Ran:
        capsys.readouterr()
        try:
            status = main(words)
        except SystemExit as end:
            status = int(end.code or 0)
        out, err = capsys.readouterr()
        return Ran(status, out, err).clean()

    return go


@pytest.fixture
def check(run: Callable[..., Ran], sample: str) -> Callable[..., Ran]:
    """`matchmark check` on the sample."""
    return lambda *words: run("check", "--db", sample, *words)

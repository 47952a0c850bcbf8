"""Pictures beside the database: what is one, where it lies, and what never gets in or out."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from kb.errors import Fault, StoreFault, UnknownName
from kb.store import photos
from kb.store.load import init
from tests.pictures import JPEG, PNG, WEBP

SCRIPT = b"<script>alert(1)</script>"


@pytest.fixture
def db(tmp_path: Path) -> str:
    path = str(tmp_path / "kb.db")
    init(path)
    return path


@pytest.mark.parametrize(
    ("data", "ending", "kind"),
    [(PNG, "png", "image/png"), (JPEG, "jpg", "image/jpeg"), (WEBP, "webp", "image/webp")],
)
def test_a_picture_is_kept_under_its_hash_and_comes_back(db: str, data: bytes, ending: str, kind: str) -> None:
    name = photos.put(db, data)
    assert name == f"{hashlib.sha256(data).hexdigest()}.{ending}"
    assert photos.get(db, name) == (data, kind)
    assert photos.put(db, data) == name
    assert os.listdir(f"{db}.photos") == [name]  # once, and nothing half written beside it


@pytest.mark.parametrize(
    "data",
    [
        b"",
        SCRIPT,
        b"\xff\xd8\xff" + SCRIPT,
        b"\xff\xd8\xff\xe0" + SCRIPT * 100 + b"\xff\xd9",
        b"\x89PNG\r\n\x1a\n" + SCRIPT * 10,
        PNG.replace(b"IHDR", b"iHDR"),
        PNG[:-1],
        PNG[:24] + b"\x07" + PNG[25:],
        b"RIFF\x10\0\0\0WEBP" + SCRIPT,
        WEBP + b"more",
        b"GIF89a" + b"\0" * 100,
        b"%PDF-1.7",
        b'<svg xmlns="http://www.w3.org/2000/svg"/>',
        JPEG[:-2],
        JPEG.replace(b"\xff\xc0\x00\x0b\x08\x00\x01\x00\x01", b"\xff\xc0\x00\x0b\x08\x00\x00\x00\x00"),
    ],
    ids=range(15),
)
def test_what_is_no_picture_is_refused_whatever_it_is_called(db: str, data: bytes, tmp_path: Path) -> None:
    with pytest.raises(Fault) as caught:
        photos.put(db, data)
    assert caught.value.step
    (tmp_path / "holiday.jpg").write_bytes(data)
    with pytest.raises(Fault, match=r"holiday\.jpg"):
        photos.put_file(db, tmp_path / "holiday.jpg")
    assert photos.kept(db) == set()


def test_a_picture_may_have_eight_megabytes_and_no_more(db: str, tmp_path: Path) -> None:
    room = photos.LARGEST - len(JPEG)
    largest = JPEG[:-2] + b"\0" * room + JPEG[-2:]
    assert photos.get(db, photos.put(db, largest))[0] == largest
    with pytest.raises(Fault, match="too large"):
        photos.put(db, JPEG[:-2] + b"\0" * (room + 1) + JPEG[-2:])
    with open(tmp_path / "film.jpg", "wb") as file:
        file.truncate(10**12)  # a hole: no memory may be asked for it
    with pytest.raises(Fault, match="too large"):
        photos.put_file(db, tmp_path / "film.jpg")


@pytest.mark.parametrize(
    "name",
    [
        "",
        "../kb.db",
        "../../etc/passwd",
        "a" * 64 + ".gif",
        "a" * 63 + ".jpg",
        "a" * 64 + ".jpg\n",
        "A" * 64 + ".jpg",
        "a" * 64 + ".jpg/../../kb.db",
        "..%2f" + "a" * 64 + ".jpg",
        "a" * 64 + ".jpg\0.png",
        "a" * 64 + ".jpg",
    ],
)
def test_no_other_name_gets_anything(db: str, name: str) -> None:
    photos.put(db, PNG)
    with pytest.raises(UnknownName, match="there is no picture"):
        photos.get(db, name)
    assert not photos.there(db, name)


def test_a_link_out_of_the_folder_is_not_followed(db: str, tmp_path: Path) -> None:
    photos.put(db, PNG)
    secret = tmp_path / "secret"
    secret.write_bytes(JPEG)
    name = photos.name_of(JPEG)
    os.symlink(secret, os.path.join(f"{db}.photos", name))
    with pytest.raises(UnknownName):
        photos.get(db, name)


def test_a_damaged_picture_is_not_shown(db: str) -> None:
    name = photos.put(db, PNG)
    whole = os.path.join(f"{db}.photos", name)
    with open(whole, "ab") as file:
        file.write(SCRIPT)
    with pytest.raises(StoreFault, match="is damaged"):
        photos.get(db, name)
    photos.put(db, PNG)  # what is damaged is written anew
    assert photos.get(db, name)[0] == PNG
    Path(whole).write_bytes(PNG[:-20] + b"x" * 8 + PNG[-12:])
    photos.put(db, PNG)
    assert photos.get(db, name)[0] == PNG


def test_faults_of_the_disk_and_of_missing_bases_are_told(db: str, tmp_path: Path) -> None:
    with pytest.raises(StoreFault, match="there is no such database"):
        photos.put(tmp_path / "nothing.db", PNG)
    assert not os.path.exists(tmp_path / "nothing.db.photos")
    Path(f"{db}.photos").write_text("a file stands where the folder should be", encoding="utf-8")
    with pytest.raises(StoreFault, match="cannot be written"):
        photos.put(db, PNG)
    with pytest.raises(Fault, match="cannot be read"):
        photos.put_file(db, tmp_path / "nothing.png")

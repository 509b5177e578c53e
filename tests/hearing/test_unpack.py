"""Archives that would do harm are refused before they can."""

from __future__ import annotations

import stat
import struct
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import pytest

from assistant.errors import ModelError
from assistant.hearing.unpack import unpack

TOP = "model"


def archive_of(folder: Path, *members: tuple[ZipInfo | str, bytes]) -> Path:
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_DEFLATED) as archive:
        for info, content in members:
            archive.writestr(info, content)
    path = folder / "a.zip"
    path.write_bytes(packed.getvalue())
    return path


def special(name: str, kind: int) -> ZipInfo:
    info = ZipInfo(name)
    info.create_system = 3
    info.external_attr = (kind | 0o777) << 16
    return info


def test_files_and_folders_come_out_as_they_went_in(tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/", b""), (f"{TOP}/am/final.mdl", b"abc"))
    found = unpack(archive, tmp_path / "out", TOP)
    assert found == tmp_path / "out" / TOP
    assert (found / "am" / "final.mdl").read_bytes() == b"abc"


@pytest.mark.parametrize(
    "name",
    [
        "../evil",
        "/evil",
        f"{TOP}/../evil",
        f"{TOP}/../../evil",
        f"{TOP}/a/./b",
        f"{TOP}//b",
        f"{TOP}\\..\\evil",
        "C:/evil",
        f"{TOP}/C:evil",
        f"{TOP}/.hidden",
        f"{TOP}/a\nb",
        f"{TOP}/a b",
        "other/evil",
        TOP,
        f"{TOP}2/evil",
    ],
)
def test_no_name_leads_out_of_the_folder(name: str, tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/fine", b"x"), (name, b"evil"))
    with pytest.raises(ModelError, match="nothing was changed"):
        unpack(archive, tmp_path / "out", TOP)
    assert {path.name for path in tmp_path.iterdir()} == {"a.zip"}


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFIFO])
def test_links_and_devices_are_refused(kind: int, tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (special(f"{TOP}/link", kind), b"/etc/passwd"))
    with pytest.raises(ModelError, match="a link or device"):
        unpack(archive, tmp_path / "out", TOP)


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("second", [f"{TOP}/a", f"{TOP}/A"])
def test_a_name_that_comes_twice_is_refused(second: str, tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/a", b"1"), (second, b"2"))
    with pytest.raises(ModelError, match="twice"):
        unpack(archive, tmp_path / "out", TOP)


def test_too_many_files_are_refused(tmp_path: Path) -> None:
    archive = archive_of(tmp_path, *((f"{TOP}/{n}", b"") for n in range(6)))
    with pytest.raises(ModelError, match="6 files, more than 5"):
        unpack(archive, tmp_path / "out", TOP, most_files=5)
    unpack(archive, tmp_path / "out", TOP, most_files=6)


def test_a_bomb_is_refused_before_it_goes_off(tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/zeros", bytes(3_000_000)))
    assert archive.stat().st_size < 10_000
    with pytest.raises(ModelError, match="more than 2 MB"):
        unpack(archive, tmp_path / "out", TOP, most_bytes=2_000_000)
    assert not (tmp_path / "out").exists()


def test_a_bomb_that_lies_about_its_size_is_stopped_at_that_size(tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/zeros", bytes(3_000_000)))
    lying = archive.read_bytes().replace(struct.pack("<I", 3_000_000), struct.pack("<I", 1000))
    archive.write_bytes(lying)
    with pytest.raises(ModelError, match="no sound ZIP"):
        unpack(archive, tmp_path / "out", TOP, most_bytes=2_000_000)
    assert (tmp_path / "out" / TOP / "zeros").stat().st_size <= 1000


@pytest.mark.parametrize("damage", ["truncated", "flipped", "empty", "text"])
def test_a_damaged_archive_is_refused(damage: str, tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/a", b"some content " * 100))
    whole = archive.read_bytes()
    at = whole.index(b"some") if b"some" in whole else 60
    archive.write_bytes(
        {
            "truncated": whole[:-40],
            "flipped": whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :],
            "empty": b"",
            "text": b"<html>not found</html>",
        }[damage]
    )
    with pytest.raises(ModelError, match="no sound ZIP"):
        unpack(archive, tmp_path / "out", TOP)


def test_an_encrypted_archive_is_refused(tmp_path: Path) -> None:
    archive = archive_of(tmp_path, (f"{TOP}/a", b"x"))
    whole = bytearray(archive.read_bytes())
    central = whole.index(b"PK\x01\x02")
    whole[6] |= 1
    whole[central + 8] |= 1
    archive.write_bytes(whole)
    with pytest.raises(ModelError, match="no sound ZIP"):
        unpack(archive, tmp_path / "out", TOP)

"""The Vosk model is fetched whole, or it is said why not; no network, a server on this machine."""

from __future__ import annotations

import hashlib
import json
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from vosk_server import FILES, NAME, VoskServer, serving, zipped

from assistant.errors import ModelError
from assistant.hearing.download import VOSK_MODELS, fetch_vosk
from assistant.hearing.fingerprint import Fingerprints
from assistant.hearing.first_use import FirstUse, first_use, note_of


@pytest.fixture
def server() -> Iterator[VoskServer]:
    with serving(VoskServer(zipped())) as running:
        yield running


def fetch(server: VoskServer, folder: Path) -> Path:
    return fetch_vosk(folder, address=server.address, loopback_http=True)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder.parent).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def left(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_the_model_is_fetched_unpacked_and_remembered(server: VoskServer, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    model = fetch_vosk(
        tmp_path,
        address=server.address,
        progress=lambda here, size: told.append((here, size)),
        loopback_http=True,
    )
    assert model == tmp_path / NAME
    assert contents(model) == FILES
    assert told[-1] == (server.size, server.size)
    assert [here for here, _ in told] == sorted({here for here, _ in told})
    assert first_use(tmp_path, NAME) == FirstUse(
        hashlib.sha256(server.archive).hexdigest(), Fingerprints().of(model), server.address
    )
    assert left(tmp_path) == {NAME, note_of(tmp_path, NAME).name}


def test_what_broke_off_goes_on_where_it_was(server: VoskServer, tmp_path: Path) -> None:
    server.breaks_after = 1000
    with pytest.raises(ModelError, match=r"broke off after 1000 of \d+ bytes.*goes on from there"):
        fetch(server, tmp_path)
    with pytest.raises(ModelError, match="after 2000 of"):
        fetch(server, tmp_path)
    assert (tmp_path / f"{NAME}.zip.part").read_bytes() == server.archive[:2000]
    server.breaks_after = None
    assert contents(fetch(server, tmp_path)) == FILES
    assert server.ranges == ["", "bytes=1000-", "bytes=2000-"]


def test_a_server_without_ranges_sends_it_all_again(server: VoskServer, tmp_path: Path) -> None:
    server.breaks_after = 1000
    server.knows_ranges = False
    with pytest.raises(ModelError, match="broke off"):
        fetch(server, tmp_path)
    server.breaks_after = None
    assert contents(fetch(server, tmp_path)) == FILES
    assert server.ranges == ["", "bytes=1000-"]


def test_a_part_of_another_file_is_found_out_and_thrown_away(
    server: VoskServer, tmp_path: Path
) -> None:
    (tmp_path / f"{NAME}.zip.part").write_bytes(b"x" * 500)
    with pytest.raises(ModelError, match=r"MD5 .* thrown away"):
        fetch(server, tmp_path)
    assert left(tmp_path) == set()
    assert contents(fetch(server, tmp_path)) == FILES


def test_a_whole_part_is_not_fetched_again(server: VoskServer, tmp_path: Path) -> None:
    (tmp_path / f"{NAME}.zip.part").write_bytes(server.archive)
    assert contents(fetch(server, tmp_path)) == FILES
    assert server.ranges == []


def test_a_wrong_md5_is_refused(server: VoskServer, tmp_path: Path) -> None:
    server.md5 = hashlib.md5(b"something else").hexdigest()
    with pytest.raises(ModelError, match=f"Vosk's list says {server.md5}"):
        fetch(server, tmp_path)
    assert left(tmp_path) == set()


def test_another_sha256_than_the_first_time_is_refused(server: VoskServer, tmp_path: Path) -> None:
    model = fetch(server, tmp_path)
    before = contents(model)
    server.archive = zipped({**FILES, f"{NAME}/README": b"another model"})
    server.md5, server.size = hashlib.md5(server.archive).hexdigest(), len(server.archive)
    with pytest.raises(ModelError, match="not what it was the first time"):
        fetch(server, tmp_path)
    assert contents(model) == before
    assert left(tmp_path) == {NAME, note_of(tmp_path, NAME).name}


def test_a_damaged_note_of_the_first_time_is_refused(server: VoskServer, tmp_path: Path) -> None:
    note_of(tmp_path, NAME).write_text("{", "utf-8")
    with pytest.raises(ModelError, match="can't be read"):
        fetch(server, tmp_path)
    assert not (tmp_path / NAME).exists()


def test_a_damaged_model_is_replaced(server: VoskServer, tmp_path: Path) -> None:
    model = fetch(server, tmp_path)
    (model / "am" / "final.mdl").unlink()
    (model / "stray").write_text("x", "utf-8")
    assert contents(fetch(server, tmp_path)) == FILES


def test_where_the_fresh_model_can_not_be_put_in_place_the_old_one_stays(
    server: VoskServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = fetch(server, tmp_path)
    (old / "note").write_text("of the old one", "utf-8")
    rename = Path.rename

    def busy(self: Path, target: Path) -> Path:
        if target == old and self.parent.name.startswith(".unpacking-") and self.name == NAME:
            raise OSError(16, "Device or resource busy")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", busy)
    with pytest.raises(ModelError, match=r"can't be written .*Device or resource busy"):
        fetch(server, tmp_path)
    assert (old / "note").read_text("utf-8") == "of the old one"


@pytest.mark.parametrize("bad", ["../evil", "/etc/evil", f"{NAME}/../../evil", f"{NAME}/a\\b"])
def test_a_hostile_archive_is_refused_and_thrown_away(bad: str, tmp_path: Path) -> None:
    with (
        serving(VoskServer(zipped({**FILES, bad: b"x"}))) as server,
        pytest.raises(ModelError, match="refused, and nothing was changed"),
    ):
        fetch(server, tmp_path / "models")
    assert left(tmp_path) == {"models"}
    assert left(tmp_path / "models") == set()


def test_an_archive_that_holds_no_model_is_refused(tmp_path: Path) -> None:
    with (
        serving(VoskServer(zipped({f"{NAME}/README": b"nothing"}))) as server,
        pytest.raises(ModelError, match="no model that Vosk could load"),
    ):
        fetch(server, tmp_path)
    assert left(tmp_path) == set()


@pytest.mark.parametrize("status", [403, 404, 500, 503])
def test_a_refusal_is_told_with_what_to_do_by_hand(
    status: int, server: VoskServer, tmp_path: Path
) -> None:
    server.status = status
    with pytest.raises(ModelError, match=rf"answered {status} .* Or by hand: .*{tmp_path.name}"):
        fetch(server, tmp_path)


def test_a_range_that_the_server_can_not_satisfy_starts_afresh(
    server: VoskServer, tmp_path: Path
) -> None:
    (tmp_path / f"{NAME}.zip.part").write_bytes(server.archive)
    server.size += 100
    with pytest.raises(ModelError, match="answered 416"):
        fetch(server, tmp_path)
    server.size -= 100
    assert contents(fetch(server, tmp_path)) == FILES


def test_without_a_network_it_says_what_to_do_by_hand(tmp_path: Path) -> None:
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))
        port = closed.getsockname()[1]
        with pytest.raises(ModelError, match=r"can't be reached .*Or by hand: .*BENCHCALL_MODEL"):
            fetch_vosk(tmp_path, address=f"http://127.0.0.1:{port}/", loopback_http=True)


@pytest.mark.parametrize(
    "listed",
    [
        b"<html>",
        b"{}",
        b"[]",
        b'[{"name": "x"}]',
        json.dumps(
            [
                {
                    "name": "vosk-model-small-en-us-0/../../x",
                    "lang": "en-us",
                    "type": "small",
                    "obsolete": "false",
                    "md5": "0" * 32,
                    "size": 10,
                }
            ]
        ).encode(),
    ],
)
def test_a_list_that_makes_no_sense_is_refused(
    listed: bytes, server: VoskServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "list", lambda: listed)
    with pytest.raises(ModelError, match=r"names no small US English model|not one to trust"):
        fetch(server, tmp_path)
    assert left(tmp_path) == set()


@pytest.mark.parametrize("size", [0, -1, 10**12])
def test_an_absurd_size_is_refused(size: int, server: VoskServer, tmp_path: Path) -> None:
    server.size = size
    with pytest.raises(ModelError, match="not one to trust"):
        fetch(server, tmp_path)
    assert server.ranges == []


def test_more_bytes_than_listed_are_not_taken(server: VoskServer, tmp_path: Path) -> None:
    server.archive += b"x" * 100_000
    assert contents(fetch(server, tmp_path)) == FILES


def test_a_full_disk_is_told(server: VoskServer, tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    (tmp_path / f"{NAME}.zip.part").symlink_to("/dev/full")
    with pytest.raises(ModelError, match=r"No space left on device.*Free 200 MB"):
        fetch(server, tmp_path)


def test_a_folder_that_can_not_be_made_is_told(server: VoskServer, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    with pytest.raises(ModelError, match="BENCHCALL_HOME"):
        fetch(server, tmp_path / "file" / "models")


def test_plain_http_is_refused_before_anything_is_sent(server: VoskServer, tmp_path: Path) -> None:
    for address in (server.address, "http://example.org/", "file:///etc/", "ftp://example.org/"):
        with pytest.raises(ModelError, match="not an HTTPS address"):
            fetch_vosk(tmp_path, address=address)
    assert server.ranges == []


@pytest.mark.parametrize("onward", ["http://example.org/a.zip", "file:///etc/passwd", "ftp://x/y"])
def test_a_redirect_away_from_https_is_refused(
    onward: str, server: VoskServer, tmp_path: Path
) -> None:
    server.moved_to = onward
    with pytest.raises(ModelError, match=r"not an HTTPS address|is not allowed"):
        fetch(server, tmp_path)


def test_the_address_is_that_of_the_vosk_project_itself() -> None:
    vosk = pytest.importorskip("vosk")
    assert vosk.MODEL_PRE_URL == VOSK_MODELS
    assert f"{VOSK_MODELS}model-list.json" == vosk.MODEL_LIST_URL

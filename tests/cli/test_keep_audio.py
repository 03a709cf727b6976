"""``plainball note --audio FILE --keep-audio``, and what history, export, backup and erase make of the kept sound."""

from __future__ import annotations

import json
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from journal.voice.transcriber import Transcriber, Transcript

SPOKEN = Path(__file__).parents[2] / "demo_data" / "spoken_note.ogg"
Plainball = Callable[..., tuple[int, str, str]]


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> None:
    """The words of the note at once: hearing is tested elsewhere."""
    said = Transcript("snatched at the easy ones", "snatched at the easy ones", (), 20.0, 0.1)
    monkeypatch.setattr(Transcriber, "transcribe", lambda *_args, **_more: said)


@pytest.fixture
def ida(plainball: Plainball, heard: None) -> Plainball:
    plainball("players", "add", "Ida")
    return plainball


def kept_files(folder: Path) -> list[Path]:
    return [path for path in folder.glob("cli.db-recordings/*/*") if path.is_file()]


def test_a_copy_is_kept_beside_the_journal_and_told(ida: Plainball, tmp_path: Path) -> None:
    status, out, _ = ida("note", "--audio", str(SPOKEN), "--keep-audio")
    assert status == 0
    (kept,) = kept_files(tmp_path)
    assert kept.read_bytes() == SPOKEN.read_bytes()
    assert kept.suffix == ".ogg"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert stat.S_IMODE(kept.parent.stat().st_mode) == 0o700
    assert f"sound kept: 0:21, {SPOKEN.stat().st_size / 1e3:.1f} kB, {kept}" in out
    assert str(kept) in ida("history")[1]
    (note,) = json.loads(ida("history", "--json")[1])["notes"]
    assert kept.name == f"{note['id']}-1.ogg"
    (recording,) = note["recordings"]
    assert (recording["file"], recording["bytes"]) == (str(kept), SPOKEN.stat().st_size)
    kept.unlink()
    assert "kept sound is missing" in ida("history")[1]


def test_without_the_option_nothing_is_kept(ida: Plainball, tmp_path: Path) -> None:
    status, out, _ = ida("note", "--audio", str(SPOKEN))
    assert (status, "sound kept" in out, kept_files(tmp_path)) == (0, False, [])


def test_the_option_needs_a_sound_file(ida: Plainball) -> None:
    status, _, err = ida("note", "typed", "--keep-audio")
    assert (status, "--audio FILE" in err) == (1, True)


def test_a_note_that_is_refused_leaves_no_copy(ida: Plainball, tmp_path: Path) -> None:
    status, _, err = ida("note", "--audio", str(SPOKEN), "--keep-audio", "--minutes", "5000")
    assert (status, "5000 minutes" in err, kept_files(tmp_path)) == (1, True, [])


def test_sound_that_cannot_be_kept_stores_no_note_and_says_where(
    ida: Plainball, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=10))
    status, _, err = ida("note", "--audio", str(SPOKEN), "--keep-audio")
    assert status == 1
    assert "cli.db-recordings" in err
    assert "disk space" in err
    assert json.loads(ida("history", "--json")[1])["notes"] == []
    assert kept_files(tmp_path) == []


def test_erasing_a_player_erases_the_kept_sound(ida: Plainball, tmp_path: Path) -> None:
    ida("note", "--audio", str(SPOKEN), "--keep-audio")
    status, out, _ = ida("erase", "Ida", "--yes")
    assert (status, "1 kept recordings" in out) == (0, True)
    assert not (tmp_path / "cli.db-recordings").exists()


def test_an_export_says_where_the_sound_lies(ida: Plainball, tmp_path: Path) -> None:
    ida("note", "--audio", str(SPOKEN), "--keep-audio")
    (kept,) = kept_files(tmp_path)
    _, out, err = ida("export", "Ida")
    assert json.loads(out)["notes"][0]["audio"] == kept.name
    assert str(kept.parent) in err


def test_a_backup_brings_the_sound_back(
    ida: Plainball, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ida("note", "--audio", str(SPOKEN), "--keep-audio")
    (kept,) = kept_files(tmp_path)
    monkeypatch.setenv("PLAINBALL_PASSPHRASE", "three plain words")
    assert "with 1 kept recording" in ida("backup", str(tmp_path / "b.age"))[1]
    ida("erase", "Ida", "--yes")
    (tmp_path / "cli.db").unlink()
    assert "with 1 kept recording" in ida("restore", str(tmp_path / "b.age"))[1]
    assert kept.read_bytes() == SPOKEN.read_bytes()
    assert "sound kept" in ida("history")[1]


def test_the_guardian_of_an_under_18_is_thought_of(plainball: Plainball, heard: None) -> None:
    plainball("players", "add", "Jo", "--born", "2015", "--guardian", "mother, 3 May")
    out = plainball("note", "--audio", str(SPOKEN), "--keep-audio")[1]
    assert "guardian's consent" in out
    assert "safeguarding" in out

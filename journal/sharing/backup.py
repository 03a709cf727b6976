"""A backup under a passphrase, in the open age format; any age tool can open it."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from pathlib import Path

from journal.errors import BadInput, CannotWrite, StoreUnusable


def write_backup(journal: Path, path: Path, phrase: str) -> int:
    """Write an encrypted copy of a journal file that may be in use; returns the file's bytes.

    Raises: BadInput for a short passphrase or no journal; CannotWrite.
    """
    import pyrage

    if len(phrase) < 8:
        raise BadInput("the passphrase is too short", "Use at least 8 characters; several words are best.")
    if not journal.is_file():
        raise BadInput(
            f"there is no journal file {journal}", "Backups are made of journal files, not of servers."
        )
    with tempfile.TemporaryDirectory(dir=journal.parent) as folder:
        copy = Path(folder) / "copy.db"
        source = sqlite3.connect(journal)
        try:
            source.execute("vacuum into ?", (str(copy),))
        finally:
            source.close()
        sealed = pyrage.passphrase.encrypt(copy.read_bytes(), phrase)
    try:
        with os.fdopen(os.open(path, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "wb") as file:
            file.write(sealed)
    except OSError as error:
        raise CannotWrite(
            f"{path} cannot be written: {error.strerror}", "Name a file in a folder you may write to."
        ) from error
    return len(sealed)


def restore_backup(path: Path, journal: Path, phrase: str) -> None:
    """Make a journal file of a backup; an existing journal is never written over.

    Raises: BadInput for a wrong passphrase or a damaged file, or when the journal exists.
    """
    import pyrage

    if journal.exists():
        raise BadInput(f"{journal} exists already", "Name a new file with --journal PATH, then look at it.")
    try:
        raw = pyrage.passphrase.decrypt(path.read_bytes(), phrase)
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror}", "Name a backup file.") from error
    except pyrage.DecryptError as error:
        raise BadInput(
            "the backup does not open", "The passphrase is wrong, or the file is damaged."
        ) from error
    journal.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with os.fdopen(os.open(journal, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
        file.write(raw)
    found = sqlite3.connect(journal)
    try:
        if found.execute("pragma quick_check").fetchone() != ("ok",):
            raise StoreUnusable("the backup's content is damaged", "Try an older backup.")
    finally:
        found.close()

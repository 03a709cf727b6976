"""A backup under a passphrase, in the open age format; any age tool can open it.

Inside lies the journal's SQLite file; when sound is kept, a tar archive with ``journal.db`` and
``recordings/PLAYER/FILE``.
"""

from __future__ import annotations

import io
import os
import sqlite3
import tarfile
import tempfile
from pathlib import Path
from typing import IO

from journal.errors import BadInput, CannotWrite, StoreUnusable
from journal.recordings import NAME, Recordings

_JOURNAL, _SOUND = "journal.db", "recordings"
_SQLITE = b"SQLite format 3\0"


def write_backup(journal: Path, path: Path, phrase: str, recordings: Path) -> tuple[int, int]:
    """Write an encrypted copy of a journal file that may be in use, with what is kept in its folder of recordings.

    Returns the file's bytes and how many recordings are in it. Raises: BadInput for a short passphrase or no
    journal; CannotWrite.
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
        plain, kept = _packed(copy, recordings)
    sealed = pyrage.passphrase.encrypt(plain, phrase)
    try:
        with os.fdopen(os.open(path, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "wb") as file:
            file.write(sealed)
    except OSError as error:
        raise CannotWrite(
            f"{path} cannot be written: {error.strerror}", "Name a file in a folder you may write to."
        ) from error
    return len(sealed), kept


def _packed(copy: Path, recordings: Path) -> tuple[bytes, int]:
    sounds = [path for path in sorted(recordings.glob("*/*")) if NAME.fullmatch(path.name)]
    if not sounds:
        return copy.read_bytes(), 0
    packed = io.BytesIO()
    try:
        with tarfile.open(fileobj=packed, mode="w") as archive:
            archive.add(copy, _JOURNAL, filter=_nameless)
            for path in sounds:
                archive.add(path, f"{_SOUND}/{path.parent.name}/{path.name}", filter=_nameless)
    except OSError as error:
        raise CannotWrite(
            f"the kept sound in {recordings} cannot be read: {error.strerror}",
            "Mend the rights of its files.",
        ) from error
    return packed.getvalue(), len(sounds)


def _nameless(member: tarfile.TarInfo) -> tarfile.TarInfo:
    """Whose account it was is nobody's business."""
    member.uid = member.gid = 0
    member.uname = member.gname = ""
    return member


def restore_backup(path: Path, journal: Path, phrase: str, recordings: Path) -> int:
    """Make a journal file and its folder of recordings of a backup; nothing that exists is written over.

    Returns how many recordings were in it. Raises: BadInput for a wrong passphrase or a damaged file, or when the
    journal exists; CannotWrite.
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
    kept = 0
    if not raw.startswith(_SQLITE):
        raw, kept = _unpacked(raw, Recordings(recordings))
    with os.fdopen(os.open(journal, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
        file.write(raw)
    found = sqlite3.connect(journal)
    try:
        if found.execute("pragma quick_check").fetchone() != ("ok",):
            raise StoreUnusable("the backup's content is damaged", "Try an older backup.")
    finally:
        found.close()
    return kept


def _unpacked(raw: bytes, recordings: Recordings) -> tuple[bytes, int]:
    """The journal's bytes; the recordings go into their folder. Only names this program gives are taken."""
    journal, kept = b"", 0
    try:
        with tarfile.open(fileobj=io.BytesIO(raw)) as archive:
            for member in archive:
                sound = archive.extractfile(member) if member.isfile() else None
                if sound is None:
                    continue
                if member.name == _JOURNAL:
                    journal = sound.read()
                else:
                    kept += _put_back(member.name.split("/"), sound, recordings)
    except tarfile.TarError as error:
        raise BadInput("the backup holds no journal", "Is it a backup of something else?") from error
    if not journal.startswith(_SQLITE):
        raise BadInput("the backup holds no journal", "Is it a backup of something else?")
    return journal, kept


def _put_back(name: list[str], sound: IO[bytes], recordings: Recordings) -> bool:
    if len(name) != 3 or name[0] != _SOUND or not NAME.fullmatch(name[2]):
        return False
    recordings.put_back(name[1], name[2], sound)
    return True

"""Recordings kept on purpose: beside the journal, for its owner's eyes only, erased with their note.

A journal file ``journal.db`` has a folder ``journal.db-recordings``, in it one folder a player (both 0700), and
there (0600) ``NOTE-1.wav``, ``NOTE-2.wav``, …, kept for the note of that id even before it is saved, and
``spoken-….wav``, sound that is not text yet. A running recording is kept by giving it a second name: nothing is
copied, it takes no room, and a crash at any moment leaves the words' name, the keeper's name, or both.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO
from uuid import uuid4

from journal.errors import BadInput, CannotWrite
from journal.records import Note, PlayerId

NAME = re.compile(r"([0-9A-Za-z_]{1,64})-([0-9]{1,6})(\.[0-9a-z]{1,5})")
"""A kept recording: its note's id, its number in the note, its format."""
_ID = re.compile(r"[0-9A-Za-z_]{1,64}")
_PART = "part-"
_NO_SECOND_NAME = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EXDEV)


@dataclass(frozen=True, slots=True)
class Kept:
    """One kept recording. size: bytes. seconds: its length, None when its format does not say."""

    path: Path
    size: int
    seconds: float | None

    @property
    def facts(self) -> str:
        """Length and size in words: "0:42, 1.3 MB"."""
        size = f"{self.size / 1e6:.1f} MB" if self.size >= 100_000 else f"{self.size / 1e3:.1f} kB"
        if self.seconds is None:
            return size
        minutes, seconds = divmod(round(self.seconds), 60)
        return f"{minutes}:{seconds:02d}, {size}"


class Recordings:
    """The recordings of one journal. keeps: False for a journal on a server.

    Raises from every method that writes: CannotWrite, saying what, where and how to mend it.
    """

    def __init__(self, folder: Path, keeps: bool = True) -> None:
        self.folder, self.keeps = folder, keeps

    @classmethod
    def beside(cls, place: str) -> Recordings:
        """The recordings of a journal by its file or database URL."""
        if "://" in place:
            from journal.store.opening import default_path

            return cls(default_path().parent / "server-recordings", keeps=False)
        file = Path(place).expanduser().resolve()
        return cls(file.with_name(f"{file.name}-recordings"))

    def of_player(self, player: PlayerId) -> Path:
        """The player's folder, whether or not it is there."""
        if not _ID.fullmatch(player):
            raise BadInput(f"{player!r} cannot be a player's id", "Is the journal damaged? Restore a backup.")
        return self.folder / player

    def room(self, player: PlayerId) -> Path:
        """The player's folder, made if need be and closed to everybody else."""
        room = self.of_player(player)
        with _told(self.folder):
            for folder in (self.folder, room):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                if os.name == "posix" and folder.stat().st_mode & 0o077:
                    folder.chmod(0o700)
        return room

    def names(self, player: PlayerId, note: str | None = None) -> list[str]:
        """Names of the kept files, of one note or of all, in the order they were spoken."""
        room = self.of_player(player)
        found = [match for path in room.glob("*-*") if (match := NAME.fullmatch(path.name))]
        found = [match for match in found if note in (None, match[1])]
        return [match[0] for match in sorted(found, key=lambda match: (match[1], int(match[2])))]

    def of_note(self, player: PlayerId, note: str) -> list[Kept]:
        """The recordings kept with a note."""
        return [kept for name in self.names(player, note) if (kept := _kept(self.of_player(player) / name))]

    def missing(self, note: Note) -> list[str]:
        """Recordings that were kept with a note and are not there any more."""
        return [
            name
            for name in (note.audio or "").split()
            if not (self.of_player(note.player_id) / name).exists()
        ]

    def keep(self, player: PlayerId, note: str, sound: Path, *, ended: bool = True) -> Path | None:
        """Give a recording in the player's folder a second name that stays.

        ended: False while it is still being written; then None when the disk knows no second names, and it has to
        be asked again at the end.
        """
        self.check()
        place = self._next(player, note, sound.suffix)
        with _told(place):
            try:
                os.link(sound, place)
            except OSError as error:
                if error.errno not in _NO_SECOND_NAME:
                    raise
                return self.copy(player, note, sound) if ended else None
            _make_sure(place.parent)
        return place

    def copy(self, player: PlayerId, note: str, sound: Path) -> Path:
        """Copy a sound file from anywhere to the note's recordings; all of it, or nothing is left."""
        self.check()
        from journal.voice.audio import SUFFIXES

        suffix = sound.suffix.lower()
        place = self._next(player, note, suffix if suffix in SUFFIXES else ".sound")
        with _told(sound, "read"):
            source = sound.open("rb")
        with source, _told(place):
            size = os.fstat(source.fileno()).st_size
            if shutil.disk_usage(place.parent).free < size:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            write_whole(place, source)
        return place

    def put_back(self, player: str, name: str, sound: IO[bytes]) -> None:
        """Write a recording out of a backup, unless it is there."""
        place = self.room(PlayerId(player)) / name
        with _told(place):
            if not place.exists():
                write_whole(place, sound)

    def delete(self, path: Path) -> None:
        """Delete one file; one that is gone already is no error."""
        with _told(path, "deleted"):
            path.unlink(missing_ok=True)

    def erase_note(self, player: PlayerId, note: str) -> int:
        """Delete what was kept with a note; returns how many went."""
        names = self.names(player, note)
        for name in names:
            self.delete(self.of_player(player) / name)
        return len(names)

    def erase_player(self, player: PlayerId) -> int:
        """Delete every sound of a player, spoken a moment ago or kept; returns how many kept ones went."""
        room = self.of_player(player)
        kept = len(self.names(player))
        with _told(room, "deleted"):
            if room.exists():
                shutil.rmtree(room)
        with suppress(OSError):  # not empty: others have theirs
            self.folder.rmdir()
        return kept

    def join(self, player: PlayerId, name: str, note: str) -> None:
        """Give a kept recording to another note."""
        old = self.of_player(player) / name
        new = self._next(player, note, old.suffix)
        with _told(new):
            old.rename(new)

    def tidy(self, player: PlayerId) -> None:
        """Delete copies that broke off in the middle (an hour ago at least: no other program is at them)."""
        for part in self.of_player(player).glob(f"{_PART}*"):
            with suppress(OSError):
                if time.time() - part.stat().st_mtime > 3600:
                    part.unlink()

    def _next(self, player: PlayerId, note: str, suffix: str) -> Path:
        numbers = [int(match[2]) for name in self.names(player, note) if (match := NAME.fullmatch(name))]
        return self.room(player) / f"{note}-{max(numbers, default=0) + 1}{suffix}"

    def check(self) -> None:
        """Whether this journal keeps recordings at all. Raises: CannotWrite."""
        if not self.keeps:
            raise CannotWrite(
                "recordings are kept beside a journal file, and this journal is on a server",
                "From another computer they could not be erased with the note. The words are kept all the same.",
            )


def write_whole(place: Path, source: IO[bytes]) -> None:
    """Write a private file from a stream; it gets its name only once all of it is on the disk. Raises: OSError."""
    part = place.with_name(f"{_PART}{uuid4().hex}")
    try:
        with os.fdopen(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
            shutil.copyfileobj(source, file)
            file.flush()
            os.fsync(file.fileno())
        part.replace(place)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _make_sure(place.parent)


def _make_sure(folder: Path) -> None:
    """Put a new name onto the disk, where the system can."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def _kept(path: Path) -> Kept | None:
    try:
        return Kept(path, path.stat().st_size, _seconds(path))
    except OSError:  # deleted a moment ago
        return None


def _seconds(path: Path) -> float | None:
    import wave

    if path.suffix == ".wav":
        with suppress(wave.Error, EOFError, ZeroDivisionError), wave.open(str(path)) as file:
            return float(file.getnframes() / file.getframerate())
    from journal.voice.audio import SoundFile
    from journal.voice.errors import UnreadableAudio

    try:
        return SoundFile(path).seconds
    except UnreadableAudio:
        return None


@contextmanager
def _told(path: Path, done: str = "written") -> Iterator[None]:
    """The operating system's refusals as something a person can act on."""
    try:
        yield
    except OSError as error:
        hint = "Mend the rights of the file and its folder, then try again. The note's words are not touched."
        if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            hint = "Free some disk space and try again; what was saved before is safe."
        raise CannotWrite(f"{path} cannot be {done}: {error.strerror}", hint) from error

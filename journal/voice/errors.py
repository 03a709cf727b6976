"""What can go wrong between a mouth and a text, each with what to do about it."""

from __future__ import annotations

from journal.errors import JournalError


class UnreadableAudio(JournalError):
    """A file that holds no sound that can be decoded: missing, empty, damaged or of another kind."""


class NoSpeech(JournalError):
    """Sound was there, but nobody said a word in it."""


class NoMicrophone(JournalError):
    """No microphone, or no sound library to reach one."""


class ModelDamaged(JournalError):
    """The speech model is missing, incomplete or not the file it should be."""


class AlreadyRecording(JournalError):
    """A second recording was started while one runs."""


class RecordingLost(JournalError):
    """The recording's file cannot be created or read back."""

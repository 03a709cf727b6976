"""One root for everything a person can meet: what happened, and how to mend it."""

from __future__ import annotations


class JournalError(Exception):
    """Something a person can act on.

    message: what happened and where. hint: how to mend it. Rendered once in the UI and once in the CLI.
    """

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class BadInput(JournalError):
    """A value given by hand that cannot be used."""


class EmptyNote(JournalError):
    """A note without a single word."""


class TooLong(JournalError):
    """A text longer than the journal keeps."""


class UnknownPlayer(JournalError):
    """A player's name or code that the journal does not know."""


class UnknownEntry(JournalError):
    """An id that is not in the rule base."""


class NeedsConsent(JournalError):
    """A record of somebody under 18 without a guardian's consent."""


class ChangeRunning(JournalError):
    """A second change was asked for while one runs."""


class BrokenRules(JournalError):
    """The rule base or a coach's own folder has problems."""


class StoreUnusable(JournalError):
    """The journal's file or folder cannot be opened, read or written."""


class CannotWrite(JournalError):
    """A file that was to be written could not be."""

"""The Monday journal's fixtures."""

from __future__ import annotations

from tests.monday import desk, player, work

__all__ = ["desk", "player", "work"]

"""Players: who they are, their measures, and consent for under-18s."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from typing import Any

from rapidfuzz import process

from journal.errors import BadInput, NeedsConsent, UnknownPlayer
from journal.records import Player, PlayerId
from journal.store.work import UnitOfWork, new_id

SAFEGUARDING = (
    "Under 18: keep a guardian's written consent, follow your club's safeguarding rules, "
    "and put worries to the club's welfare officer."
)
LIMITS = {
    "height_mm": (900, 2400),
    "hand_mm": (100, 280),
    "shoulder_mm": (200, 600),
    "upper_arm_mm": (180, 480),
    "forearm_mm": (150, 400),
}
"""What is taken for a slip of the keys, far outside published tables (ANSUR II, see sources.yaml)."""


_BARE_ANSWERS = {"yes", "yeah", "yep", "no", "not", "none", "ok", "okay", "sure", "true", "false"}


def find_player(work: UnitOfWork, name: str | None) -> Player:
    """The player of this name or id; without a name, the journal's current or only player.

    Raises: UnknownPlayer, naming the nearest.
    """
    everybody = work.players.all(order="name")
    if name is None:
        chosen = work.settings.one(key="player")
        current = [p for p in everybody if chosen and p.id == chosen.value.get("id")]
        if current or len(everybody) == 1:
            return (current or everybody)[0]
        hint = "Name one with --player." if everybody else "Add yourself: plainball players add NAME"
        raise UnknownPlayer("no player was named", hint)
    for player in everybody:
        if name in (player.name, player.id) or name.casefold() == player.name.casefold():
            return player
    names = [player.name for player in everybody]
    near = process.extractOne(name, names, score_cutoff=60)
    hint = f"Did you mean {near[0]}?" if near else "List them with: plainball players"
    raise UnknownPlayer(f"the journal knows no player {name!r}", hint)


def add_player(work: UnitOfWork, name: str, *, now: datetime, **about: Any) -> Player:
    """A new player; the first one becomes the current one.

    about: fields of Player. Raises: BadInput for an empty or taken name or an impossible measure,
    NeedsConsent for somebody under 18 without a guardian's consent.
    """
    name = " ".join(name.split())
    if not name or len(name) > 60 or not name.isprintable():
        raise BadInput(
            f"{name[:60]!r} cannot be a player's name",
            "Use 1 to 60 printable characters: a first name or a code.",
        )
    if any(name.casefold() == player.name.casefold() for player in work.players.all()):
        raise BadInput(f"there is a player {name!r} already", "Use another name or code.")
    player = _checked(Player(PlayerId(new_id()), name, now, **about), now)
    work.players.add(player)
    if work.players.count() == 1:
        choose_player(work, player)
    return player


def change_player(work: UnitOfWork, player: Player, *, now: datetime, **about: Any) -> Player:
    """The player with some fields replaced. Raises: as add_player."""
    return work.players.put(_checked(replace(player, **about), now))


def choose_player(work: UnitOfWork, player: Player) -> None:
    """Make somebody the journal's current player."""
    from journal.records import Setting

    work.settings.put(Setting("player", {"id": player.id}))


def may_be_minor(player: Player, now: datetime) -> bool:
    """Whether the player may still be under 18 this year."""
    return player.birth_year is not None and now.year - player.birth_year <= 18


def names_somebody(consent: str) -> bool:
    """Whether a guardian's consent says who gave it: a word of two letters or more that is not just a yes or no."""
    words = re.findall(r"[^\W\d_]{2,}", consent.casefold())
    return any(word not in _BARE_ANSWERS for word in words)


def _checked(player: Player, now: datetime) -> Player:
    from journal.desk import zone_of

    zone_of(player)
    if player.hand not in ("right", "left"):
        raise BadInput(f"hand {player.hand!r} is not known", "Use right or left.")
    if player.level not in ("beginner", "club", "strong"):
        raise BadInput(
            f"level {player.level!r} is not known",
            "Use beginner (best break under 20), club (20 to 49) or strong (50 and more).",
        )
    if player.birth_year is not None and not now.year - 110 <= player.birth_year <= now.year - 3:
        raise BadInput(
            f"birth year {player.birth_year} cannot be right", "Give four digits, or leave it out."
        )
    for field, (low, high) in LIMITS.items():
        value = getattr(player, field)
        if value is not None and not low <= value <= high:
            what = field.removesuffix("_mm").replace("_", " ")
            raise BadInput(
                f"{what} of {value:g} mm cannot be right", f"Measure it again; expected {low} to {high} mm."
            )
    consent = (player.guardian_consent or "").strip()
    if may_be_minor(player, now) and not names_somebody(consent):
        unnamed = f", and {consent[:60]!r} does not say who consented" if consent else ""
        raise NeedsConsent(
            f"{player.name} may be under 18{unnamed}",
            f"Add who consented: --guardian 'mother, 3 May'. {SAFEGUARDING}",
        )
    return player

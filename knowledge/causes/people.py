"""Base rates for this player: the rule base's chances, by level and hand.

Factors on the odds. Common practice, no source: what a level has mostly learnt, or mostly meets. For
left-handers only one is known to the trade: they copy a stance that is shown the other way round. Small on
purpose; evidence outweighs them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from knowledge.causes.network import Network

_NOT_LEARNT_YET = (
    "cause.basics_gap",
    "cause.no_standing_aim",
    "cause.rail_bridge_unlearned",
    "cause.high_bridge_unlearned",
    "cause.close_ball_unlearned",
    "cause.spin_decay_unknown",
    "cause.side_effect_unknown",
    "cause.cushion_path_unknown",
    "cause.pace_uncalibrated",
    "cause.bridge_v_open",
    "cause.bridge_not_pressed",
)
_OF_PLAYERS_WHO_COMPETE = (
    "cause.result_thinking",
    "cause.technique_thoughts",
    "cause.arousal_high",
    "cause.error_reaction",
    "cause.too_many_changes",
    "cause.pot_odds_wrong",
)
LEVEL: Mapping[str, Mapping[str, float]] = {
    "beginner": {**dict.fromkeys(_NOT_LEARNT_YET, 1.5), **dict.fromkeys(_OF_PLAYERS_WHO_COMPETE, 0.75)},
    "club": {},
    "strong": {**dict.fromkeys(_NOT_LEARNT_YET, 0.6), **dict.fromkeys(_OF_PLAYERS_WHO_COMPETE, 1.25)},
}
HAND: Mapping[str, Mapping[str, float]] = {"right": {}, "left": {"cause.feet_line_wrong": 1.2}}


def network_for(network: Network, level: str = "club", hand: str = "right") -> Network:
    """The network with this player's base rates. Unknown levels and hands change nothing."""
    factors = np.array(
        [LEVEL.get(level, {}).get(c, 1.0) * HAND.get(hand, {}).get(c, 1.0) for c in network.causes]
    )
    odds = network.base / (1 - network.base) * factors
    return replace(network, base=odds / (1 + odds))

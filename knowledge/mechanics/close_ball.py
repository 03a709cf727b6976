"""Close balls: when the tip is still on the white as it meets the object ball, and when it catches it again.

The rule: a push stroke is a foul when the tip stays on the white after it has started forward, or still
touches it when it meets the object ball; a very fine edge of an almost touching ball is excepted (official
rules of snooker, section 2, push stroke). Impact: two masses with restitution 0.73 (leather tip: Alciatore,
physical properties) and a half-sine force. Contact time about 1.5 ms and cue mass 0.5 kg: from memory; ball
mass 142 g: common practice. Left out: the cue's flexing and the hand's push, which can only lengthen the
touch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from knowledge.mechanics.inputs import within

TIP_RESTITUTION = 0.73
CONTACT_TIME = 1.5e-3
CUE_MASS = 0.5
BALL_MASS = 0.142
FINE_EDGE = 1 / 8
"""Ball fraction up to which an edge counts as very fine here; common practice, no source: the referee
decides.
"""


@dataclass(frozen=True, slots=True)
class CloseBall:
    """Metres and m/s. touch_length: the white's way while the tip still touches. white_speed, cue_speed:
    after the hit.

    touching_at_contact: tip still on the white as it meets the object ball. second_hit: the tip catches the
    white again. allowed_follow: longest follow-through, measured level, that catches nothing. follow: what
    the tip really travels, after the cloth has stopped a raised cue. push: one of the two happens. exception:
    a very fine edge, not a push by rule.
    """

    touch_length: float
    white_speed: float
    cue_speed: float
    touching_at_contact: bool
    second_hit: bool
    allowed_follow: float
    follow: float
    push: bool
    exception: bool


def close_ball(
    gap: float,
    cue_speed: float,
    follow: float,
    *,
    butt: float = 0.0,
    fraction: float = 1.0,
    contact_time: float = CONTACT_TIME,
    tip_height: float = 0.02625,
) -> CloseBall:
    """Would this be a push stroke?

    gap: between the ball surfaces. cue_speed: at the hit, m/s. follow: follow-through the player intends,
    metres. butt: slope of the cue, radians. fraction: ball fraction of the contact. tip_height: of the cue's
    axis above the bed. Raises: ImpossibleInput.
    """
    within("gap between the balls", gap, 0.0, 1.0, "mm", 1e-3)
    within("cue speed", cue_speed, 0.01, 15.0, "m/s")
    within("follow-through", follow, 0.0, 0.6, "mm", 1e-3)
    within("contact time", contact_time, 1e-4, 1e-2, "ms", 1e-3)
    within("ball fraction", fraction, 0.0, 1.0)
    white = cue_speed * (1 + TIP_RESTITUTION) / (1 + BALL_MASS / CUE_MASS)
    after = cue_speed - white * BALL_MASS / CUE_MASS
    touch = white * contact_time / 2
    allowed = _free_follow(gap, white, after, fraction)
    real = min(follow * math.cos(butt), follow_limit(butt, tip_height))
    touching = gap < touch
    second = real > allowed
    fine = fraction <= FINE_EDGE
    return CloseBall(
        touch, white, after, touching, second, allowed, real, (touching or second) and not fine, fine
    )


def _free_follow(gap: float, white: float, tip: float, fraction: float) -> float:
    """Tip travel that catches nothing: up to the white's place along the cue's line when the tip would reach
    it.

    After the contact the white keeps sin² of the cut of its speed along the cue's line (stun, restitution 1);
    a tip slower than that never catches it.
    """
    kept = white * (1 - fraction) ** 2
    if kept >= tip:
        return math.inf
    later = gap / white
    return gap + kept * (gap - tip * later) / (tip - kept)


def follow_limit(butt: float, tip_height: float = 0.02625, tip: float = 0.0095) -> float:
    """Level distance a sloping cue travels until its tip meets the cloth: (height - tip radius) / tan(slope).
    inf if level.

    Raises: ImpossibleInput.
    """
    within("slope of the cue", butt, 0.0, math.radians(89), "deg", math.pi / 180)
    within("tip height", tip_height, tip / 2, 0.0525, "mm", 1e-3)
    return math.inf if butt == 0 else (tip_height - tip / 2) / math.tan(butt)

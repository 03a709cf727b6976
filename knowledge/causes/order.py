"""Which of two equally likely causes comes first. Common practice, no source.

The one that is cheaper to check; then equipment and health; then the order of the shot: sight, feet,
bridge, grip, swing, contact, mind.
"""

from __future__ import annotations

from knowledge.rulebase import RuleBase

GROUPS = ("equipment", "eyes", "stance", "bridge", "grip", "delivery", "contact", "tactics", "mind")
HEALTH = ("cause.body_limits", "cause.eyesight_uncorrected", "cause.fatigue")


def before_technique(rules: RuleBase, cause: str) -> bool:
    """Whether a cause is equipment, table or health."""
    return cause in HEALTH or (cause in rules.causes and rules.causes[cause].group == "equipment")


def place_of(rules: RuleBase, cause: str) -> int:
    """0 for equipment and health, then the order of the shot."""
    group = rules.causes[cause].group
    return 0 if before_technique(rules, cause) else GROUPS.index(group) if group in GROUPS else len(GROUPS)


def cheapest_check(rules: RuleBase, cause: str) -> float:
    """Minutes of the shortest check that can speak for a cause; infinite without one."""
    return min(
        (
            c.minutes
            for c in rules.checks.values()
            if any(o.signs.get(cause, "-")[0] == "+" for o in c.outcomes)
        ),
        default=float("inf"),
    )


def ranked(rules: RuleBase, chances: dict[str, float]) -> list[str]:
    """Causes by chance, the likeliest first; chances equal to nine digits go by the tie rules."""

    def key(cause: str) -> tuple[float, float, int, str]:
        return (-round(chances[cause], 9), cheapest_check(rules, cause), place_of(rules, cause), cause)

    return sorted(chances, key=key)

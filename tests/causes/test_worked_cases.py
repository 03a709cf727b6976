"""Twenty-six small cases, worked out once by another program from the same tables.

Noisy-OR, the leak of 0.05 a cause of its own, faults that are not named unknown. Base rates and strengths:
common practice, no source; so these figures check the arithmetic, not the trade. Equal chances may stand
in either order.
"""

from __future__ import annotations

import itertools
import json

import pytest

from journal.cli.main import entry

WORKED = {
    "head.lifts pot.thin pot.easy": (
        "looks_up_early 0.60, last_look_short 0.38, routine_missing 0.37, "
        "aim_point_wrong 0.35, eyes_leave_target 0.33"
    ),
    "delivery.across arm.elbow_out stance.off_line pot.long": (
        "feet_line_wrong 0.67, elbow_off_plane 0.44, no_standing_aim 0.36, "
        "routine_missing 0.35, hit_impulse 0.31"
    ),
    "contact.cushion_miscue bridge.cushion_poor delivery.butt_low": (
        "rail_bridge_unlearned 0.65, butt_kept_flat 0.57, bridge_not_pressed 0.24, "
        "high_bridge_unlearned 0.22, power_over_limit 0.22"
    ),
    "grip.tight delivery.snatch delivery.rushed pot.easy": (
        "routine_missing 0.58, arousal_high 0.52, grip_squeeze 0.49, hit_impulse 0.42, last_look_short 0.31"
    ),
    "position.screw_fails position.stun_runs": (
        "spin_decay_unknown 0.47, tip_address_off 0.41, pace_uncalibrated 0.38, "
        "grip_squeeze 0.32, hit_impulse 0.29"
    ),
    "position.screw_fails contact.miscue": (
        "tip_address_off 0.37, grip_squeeze 0.35, spin_decay_unknown 0.29, hit_impulse 0.29, cue_tilted 0.28"
    ),
    "position.screw_fails delivery.stops_short delivery.snatch": (
        "hit_impulse 0.63, grip_squeeze 0.44, fear_decelerates 0.33, "
        "tip_address_off 0.28, spin_decay_unknown 0.28"
    ),
    "pot.power delivery.body_moves bridge.unstable": (
        "body_joins 0.50, bridge_not_pressed 0.48, looks_up_early 0.35, "
        "power_over_limit 0.34, grip_squeeze 0.33"
    ),
    "position.pace tactics.safety_length tactics.escape": (
        "pace_uncalibrated 0.71, cushion_path_unknown 0.35, table_speed_new 0.32, "
        "angle_reading_poor 0.31, grip_squeeze 0.30"
    ),
    "position.in_off position.cannon": (
        "traffic_unread 0.56, angle_reading_poor 0.52, pace_uncalibrated 0.37, "
        "no_position_plan 0.28, side_effect_unknown 0.23"
    ),
    "position.wrong_side tactics.break_stalls": (
        "pace_uncalibrated 0.43, no_margin 0.39, no_position_plan 0.38, "
        "angle_reading_poor 0.34, basics_gap 0.34"
    ),
    "stance.cramped bridge.arm_cramped bridge.too_short": (
        "too_near_ball 0.72, bridge_too_near 0.32, bridge_arm_folded 0.31, "
        "body_limits 0.20, swing_too_short 0.20"
    ),
    "contact.unwanted_side eyes.misaligned delivery.across": (
        "vision_centre_off 0.57, tip_address_off 0.43, feet_line_wrong 0.39, "
        "aim_point_wrong 0.30, no_standing_aim 0.29"
    ),
    "pot.thick pot.cushion": (
        "aim_point_wrong 0.54, cushion_path_unknown 0.31, side_effect_unknown 0.31, "
        "power_over_limit 0.31, hit_impulse 0.30"
    ),
    "mind.overthinking grip.loose mind.no_plan": (
        "too_many_changes 0.71, practice_no_target 0.46, technique_thoughts 0.35, "
        "practice_unlike_match 0.35, arousal_high 0.30"
    ),
    "mind.concentration pot.easy delivery.rushed": (
        "routine_missing 0.70, attention_drift 0.42, practice_no_target 0.34, "
        "arousal_high 0.31, last_look_short 0.29"
    ),
    "pot.rest bridge.rest_unsteady": (
        "rest_setup_poor 0.67, rest_arm_action 0.40, practice_no_target 0.34, "
        "no_standing_aim 0.28, eyes_leave_target 0.28"
    ),
    "stance.strain stance.stands_tall delivery.butt_high": (
        "body_limits 0.77, cue_tilted 0.40, stays_upright 0.31, too_near_ball 0.26, grip_place_wrong 0.20"
    ),
    "contact.push_stroke delivery.stops_short": (
        "hit_impulse 0.62, close_ball_unlearned 0.47, grip_squeeze 0.33, "
        "fear_decelerates 0.27, doubt_on_shot 0.23"
    ),
    "delivery.backswing_long bridge.too_long delivery.cue_wavers": (
        "bridge_too_far 0.65, grip_squeeze 0.42, swing_too_long 0.37, "
        "power_over_limit 0.28, feather_no_purpose 0.26"
    ),
    "delivery.no_pause eyes.no_pause delivery.snatch": (
        "backswing_rushed 0.58, arousal_high 0.50, routine_missing 0.38, "
        "hit_impulse 0.36, last_look_short 0.34"
    ),
    "mind.practice_gap mind.tension": (
        "practice_unlike_match 0.50, arousal_high 0.44, result_thinking 0.34, "
        "routine_missing 0.34, practice_no_target 0.34"
    ),
    "mind.temper mind.concentration": (
        "routine_missing 0.42, error_reaction 0.42, result_thinking 0.38, "
        "practice_no_target 0.36, arousal_high 0.34"
    ),
    "arm.elbow_drops position.screw_fails pot.power": (
        "power_over_limit 0.44, shoulder_drives 0.40, grip_squeeze 0.39, hit_impulse 0.32, body_joins 0.32"
    ),
    "position.side_unsure pot.long pot.thick": (
        "side_effect_unknown 0.45, hit_impulse 0.37, tip_address_off 0.35, "
        "cushion_path_unknown 0.35, vision_centre_off 0.35"
    ),
    "position.pack_fails position.cannon": (
        "angle_reading_poor 0.56, no_position_plan 0.41, traffic_unread 0.36, "
        "pace_uncalibrated 0.35, spin_decay_unknown 0.32"
    ),
}


@pytest.mark.parametrize("faults", WORKED)
def test_a_bare_list_of_faults_gives_the_worked_ranking(faults, capsys):
    assert entry(["cause", "--faults", faults.replace(" ", ","), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    expected = [item.split(" ") for item in WORKED[faults].split(", ")]
    got = {cause["id"].removeprefix("cause."): cause["probability"] for cause in answer["causes"]}
    for name, chance in expected:
        assert f"{got[name]:.2f}" == chance
    leading = [cause["probability"] for cause in answer["causes"]][:5]
    assert [f"{chance:.2f}" for chance in leading] == [chance for _, chance in expected]
    order = [got[name] for name, _ in expected]
    assert all(a >= b - 1e-6 for a, b in itertools.pairwise(order))

-- What the general solver worked out of a pick, if it was kept.
SELECT
    fingerprint,
    inclination_deg, roll_deg, hook_x_m, hook_y_m, hook_side_m, other_deg, residual_n, leg_1_tension_n,
    leg_1_angle_deg, leg_1_slack_m, leg_2_tension_n, leg_2_angle_deg, leg_2_slack_m, leg_3_tension_n,
    leg_3_angle_deg, leg_3_slack_m, leg_4_tension_n, leg_4_angle_deg, leg_4_slack_m
FROM reconstruction
WHERE pick_id = :pick;

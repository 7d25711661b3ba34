-- Keeps what the general solver worked out of a pick.
INSERT INTO reconstruction (
    pick_id, fingerprint,
    inclination_deg, roll_deg, hook_x_m, hook_y_m, hook_side_m, other_deg, residual_n, leg_1_tension_n,
    leg_1_angle_deg, leg_1_slack_m, leg_2_tension_n, leg_2_angle_deg, leg_2_slack_m, leg_3_tension_n,
    leg_3_angle_deg, leg_3_slack_m, leg_4_tension_n, leg_4_angle_deg, leg_4_slack_m
) VALUES (
    :pick, :fingerprint,
    :inclination_deg, :roll_deg, :hook_x_m, :hook_y_m, :hook_side_m, :other_deg, :residual_n, :leg_1_tension_n,
    :leg_1_angle_deg, :leg_1_slack_m, :leg_2_tension_n, :leg_2_angle_deg, :leg_2_slack_m, :leg_3_tension_n,
    :leg_3_angle_deg, :leg_3_slack_m, :leg_4_tension_n, :leg_4_angle_deg, :leg_4_slack_m
)
ON CONFLICT (pick_id) DO UPDATE SET
    fingerprint = excluded.fingerprint,
    inclination_deg = excluded.inclination_deg, roll_deg = excluded.roll_deg, hook_x_m = excluded.hook_x_m, hook_y_m
    = excluded.hook_y_m, hook_side_m = excluded.hook_side_m, other_deg = excluded.other_deg, residual_n =
    excluded.residual_n, leg_1_tension_n = excluded.leg_1_tension_n, leg_1_angle_deg = excluded.leg_1_angle_deg,
    leg_1_slack_m = excluded.leg_1_slack_m, leg_2_tension_n = excluded.leg_2_tension_n, leg_2_angle_deg =
    excluded.leg_2_angle_deg, leg_2_slack_m = excluded.leg_2_slack_m, leg_3_tension_n = excluded.leg_3_tension_n,
    leg_3_angle_deg = excluded.leg_3_angle_deg, leg_3_slack_m = excluded.leg_3_slack_m, leg_4_tension_n =
    excluded.leg_4_tension_n, leg_4_angle_deg = excluded.leg_4_angle_deg, leg_4_slack_m = excluded.leg_4_slack_m;

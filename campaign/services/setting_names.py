"""Which of a show's own fields are settings, and until when each may change."""

# May change at any time: nothing that was agreed or fixed depends on them.
ALWAYS_OPEN = (
    "title", "statement", "venue_name", "venue_address", "hang_on", "opening_at", "last_day_on", "posting_by_on",
    "commission_bp", "centre_mm", "length_unit", "old_prices_before_on", "two_hooks_from_mm", "two_hooks_from_g",
    "hook_rating_g", "hook_margin", "print_hours_milli", "proof_days", "drying_hours", "payout_days", "material_days",
)  # fmt: skip
# Orders and the plan depend on them: fixed by the close.
UNTIL_CLOSED = (
    "opens_at", "closes_at", "cancel_until_on", "hold_days", "reminder_days", "offer_hours", "set_aside_bp",
    "contingency_bp", "min_gap_mm", "printer_seconds", "printer_seconds_per_m2", "series_share_finish", "most_finishes",
)  # fmt: skip
# The staircase is made from them; the dates and days among them say how long a finish may take.
PLAN_INPUTS = (
    "min_gap_mm", "printer_seconds", "printer_seconds_per_m2", "series_share_finish", "most_finishes", "closes_at",
    "hang_on", "print_hours_milli", "proof_days", "payout_days", "material_days", "drying_hours",
)  # fmt: skip
SETTINGS = ALWAYS_OPEN + UNTIL_CLOSED

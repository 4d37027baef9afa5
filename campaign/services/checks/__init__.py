"""
Recomputes every derived figure of the campaign from its rows, apart from the code that derives it every day.

Reads only. Each check says how much it looked at and the first difference it met.
"""

from campaign.services.checks.bank import check_bank_lines, check_card_payments, check_processor
from campaign.services.checks.findings import Check, Finding, finding
from campaign.services.checks.jobs import check_jobs
from campaign.services.checks.late import check_late_answers
from campaign.services.checks.mails import check_batches, check_mails, check_outbox
from campaign.services.checks.money import (
    check_cash_book,
    check_owed,
    check_payments,
    check_refunds,
    check_wall_money,
)
from campaign.services.checks.plans import check_fixed_plans, check_levels, check_staircases
from campaign.services.checks.stock import (
    check_copies,
    check_ended_shows,
    check_holds,
    check_orders,
    check_waiters,
)

CHECKS: tuple[Check, ...] = (
    check_copies,
    check_holds,
    check_orders,
    check_waiters,
    check_ended_shows,
    check_cash_book,
    check_payments,
    check_refunds,
    check_owed,
    check_wall_money,
    check_bank_lines,
    check_card_payments,
    check_processor,
    check_late_answers,
    check_mails,
    check_batches,
    check_outbox,
    check_jobs,
    check_levels,
    check_staircases,
    check_fixed_plans,
)

__all__ = ["CHECKS", "Check", "Finding", "finding"]

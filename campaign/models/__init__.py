"""Rows of the campaign: fields, constraints and one-row properties; no input or output, no rule that spans rows."""

from campaign.models.costing import Basis, Finish, PriceItem, RecipeLine, ShowCost, Unit
from campaign.models.edition import Copy, Edition, PostageRate
from campaign.models.job import Job, Paper
from campaign.models.ledger import Account, CashEntry
from campaign.models.link_request import LinkRequest
from campaign.models.outbox import OutboxMessage, Suppression
from campaign.models.plan import FixedPlan, StaircaseRun
from campaign.models.pledge import Pledge
from campaign.models.rate import RateCount
from campaign.models.show import Level, Show, Studio
from campaign.models.update import Update
from campaign.models.wall import BlockedArea, Wall
from campaign.models.work import Picture, Size, Work

__all__ = [
    "Account", "Basis", "BlockedArea", "CashEntry", "Copy", "Edition", "Finish", "FixedPlan", "Job", "Level",
    "LinkRequest", "OutboxMessage", "Paper", "Picture", "Pledge", "PostageRate", "PriceItem", "RateCount",
    "RecipeLine", "Show", "ShowCost", "Size", "StaircaseRun", "Studio", "Suppression", "Unit", "Update", "Wall",
    "Work",
]  # fmt: skip

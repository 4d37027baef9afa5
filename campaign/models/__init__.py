"""Rows of the campaign: fields, constraints and one-row properties; no input or output, no rule that spans rows."""

from campaign.models.costing import Basis, Finish, PriceItem, PriceStep, RecipeLine, ShowCost, SizePrice, Unit
from campaign.models.edition import Copy, Edition, PostageRate
from campaign.models.gift_in_kind import GiftInKind
from campaign.models.job import Job, Paper
from campaign.models.last_step import LastStep
from campaign.models.ledger import Account, CashEntry
from campaign.models.link_request import LinkRequest
from campaign.models.outbox import OutboxMessage, Suppression
from campaign.models.plan import FixedPlan, StaircaseRun
from campaign.models.pledge import Pledge
from campaign.models.rate import RateCount
from campaign.models.schedule import CalendarEntry, ClosedDay, Deadline, DoneStep
from campaign.models.show import Level, Show, Studio
from campaign.models.update import Update
from campaign.models.wall import BlockedArea, Wall
from campaign.models.work import OptionWorth, Picture, Size, Work, WorkPair

__all__ = [
    "Account", "Basis", "BlockedArea", "CalendarEntry", "CashEntry", "ClosedDay", "Copy", "Deadline", "DoneStep",
    "Edition", "Finish", "FixedPlan", "GiftInKind", "Job", "LastStep", "Level", "LinkRequest", "OptionWorth",
    "OutboxMessage", "Paper", "Picture", "Pledge", "PostageRate", "PriceItem", "PriceStep", "RateCount",
    "RecipeLine", "Show", "ShowCost", "Size", "SizePrice", "StaircaseRun", "Studio", "Suppression", "Unit",
    "Update", "Wall", "Work", "WorkPair",
]  # fmt: skip

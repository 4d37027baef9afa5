"""Rows of the campaign: fields, constraints and one-row properties; no input or output, no rule that spans rows."""

from campaign.models.bank import BankLine, BankStatement, BankUpload, CsvLayout
from campaign.models.card import CardPayment, Dispute, Payout, ProcessorEvent, Reconciliation
from campaign.models.costing import Basis, Finish, PriceItem, PriceStep, RecipeLine, ShowCost, SizePrice, Unit
from campaign.models.edition import FREE_TO_TAKE_SQL, Copy, Edition, PledgeLine, PostageRate, Waiter, free_to_take
from campaign.models.funder import Funder
from campaign.models.gift_in_kind import GiftInKind
from campaign.models.job import Job, Paper
from campaign.models.last_step import LastStep
from campaign.models.late import LateAnswer, LateNotice
from campaign.models.ledger import Account, CashEntry
from campaign.models.link_request import LinkRequest
from campaign.models.outbox import Bounce, Erasure, OutboxMessage, Suppression
from campaign.models.plan import FixedPlan, StaircaseRun
from campaign.models.pledge import ChangeRequest, Pledge
from campaign.models.pulse import Pulse
from campaign.models.rate import RateCount
from campaign.models.refund import Refund
from campaign.models.schedule import CalendarEntry, ClosedDay, Deadline, DoneStep
from campaign.models.show import Level, Show, Studio
from campaign.models.source import Source
from campaign.models.tax import TaxRate
from campaign.models.update import Update
from campaign.models.verification import Verification
from campaign.models.wall import BlockedArea, Wall
from campaign.models.work import OptionWorth, Picture, Size, Work, WorkPair

__all__ = [
    "FREE_TO_TAKE_SQL",
    "Account", "BankLine", "BankStatement", "BankUpload", "Basis", "BlockedArea", "Bounce", "CalendarEntry",
    "CardPayment", "CashEntry", "ChangeRequest", "ClosedDay", "Copy", "CsvLayout", "Deadline", "Dispute",
    "DoneStep", "Edition", "Erasure", "Finish", "FixedPlan", "Funder", "GiftInKind", "Job", "LastStep",
    "LateAnswer", "LateNotice", "Level", "LinkRequest", "OptionWorth", "OutboxMessage", "Paper", "Payout",
    "Picture", "Pledge", "PledgeLine", "PostageRate", "PriceItem", "PriceStep", "ProcessorEvent", "Pulse",
    "RateCount", "RecipeLine", "Reconciliation", "Refund", "Show", "ShowCost", "Size", "SizePrice", "Source",
    "StaircaseRun", "Studio", "Suppression", "TaxRate", "Unit", "Update", "Verification", "Waiter", "Wall", "Work",
    "WorkPair", "free_to_take",
]  # fmt: skip

"""Late posting: which orders wait for their prints, what each was told of it and answered, what its silence means."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Exists, Min, OuterRef, QuerySet

from campaign.models import Copy, LateAnswer, LateNotice, OutboxMessage, Pledge, Show
from campaign.planning.law.late_posting import Delay, consents_by_silence, refund_by, ship_by, silence_of
from campaign.planning.law.regions import Region, region_of
from campaign.queries.show_days import holidays_of

WAIT, CANCEL = LateAnswer.Word.WAIT, LateAnswer.Word.CANCEL
NAME = "late_notice"  # of the mail; its key says which order was told and by which notice
WARN_DAYS = 14


@dataclass(frozen=True, slots=True)
class Told:
    """One notice as it concerns one order."""

    notice: LateNotice
    delay: Delay
    silent_until_on: date | None  # with whose end the order ends if nothing is said; None where it stays
    consents_by_silence: bool


@dataclass(frozen=True, slots=True)
class LateOrder:
    """An order, what it was told and what it answered; `told` in the order of the notices."""

    pledge: Pledge
    region: Region
    is_waiting: bool
    is_begun: bool  # a part of it is posted, another is not
    told: tuple[Told, ...]
    answers: tuple[LateAnswer, ...]

    @property
    def last(self) -> Told | None:
        """The newest notice it was sent."""
        return self.told[-1] if self.told else None

    @property
    def answer(self) -> LateAnswer | None:
        """What was said to the newest notice."""
        return next((one for one in self.answers if self.last and one.notice_id == self.last.notice.pk), None)

    @property
    def silent_end_on(self) -> date | None:
        """
        With whose end it ends if nothing is said: the first of the notices that are still open.

        Saying to wait answers that notice and those before it. An order of which a part is posted never ends by itself.
        """
        waits = [one.notice_id for one in self.answers if one.word == WAIT]
        open_from = max((n + 1 for n, told in enumerate(self.told) if told.notice.pk in waits), default=0)
        days = [told.silent_until_on for told in self.told[open_from:] if told.silent_until_on]
        return min(days) if days and self.is_waiting and not self.is_begun else None

    @property
    def due_on(self) -> date | None:
        """The day by which it is posted as the backer knows it; None where the newest notice gives none."""
        return self.last.notice.new_on if self.last else agreed_on(self.pledge)


def agreed_on(pledge: Pledge) -> date:
    """The posting date agreed to; for an order from before there were any, thirty days from when it was complete."""
    completed_at = pledge.paid_at or pledge.placed_at
    return ship_by(completed_on=completed_at.astimezone(pledge.show.zone).date(), stated_on=pledge.posting_by_on)


def waiting_orders(show: Show) -> QuerySet[Pledge]:
    """Live orders of `show` with a copy that is not posted."""
    mine = Copy.objects.filter(pledge=OuterRef("pk"))
    live = Pledge.objects.filter(show=show, state__in=Pledge.LIVE)
    return live.filter(Exists(mine.filter(is_posted=False)))


def read_late_orders(show: Show, *, pledges: Iterable[Pledge] | None = None) -> list[LateOrder]:
    """
    The waiting orders of `show`, or these, each with its notices and answers. Five queries, whatever their number.

    An order was told if its mail was written and not called off.
    """
    chosen = list(waiting_orders(show).order_by("pk") if pledges is None else pledges)
    for pledge in chosen:
        pledge.show = show
    scope = {"pledge__show": show} if pledges is None else {"pledge__in": [pledge.pk for pledge in chosen]}
    notices = {notice.number: notice for notice in show.late_notices.all()}
    told = _told_numbers(show, pledges=chosen) if notices else {}
    answers: defaultdict[int, list[LateAnswer]] = defaultdict(list)
    for answer in LateAnswer.objects.filter(**scope).order_by("notice__number") if notices else ():
        answers[answer.pledge_id].append(answer)
    posted: defaultdict[int | None, set[bool]] = defaultdict(set)
    copies = Copy.objects.filter(**scope).order_by().values_list("pledge", "is_posted").distinct()
    for pledge_pk, is_posted in copies:
        posted[pledge_pk].add(is_posted)
    return [
        LateOrder(
            pledge=pledge,
            region=region_of(pledge.address.get("country_code", "")),
            is_waiting=False in posted[pledge.pk],
            is_begun=posted[pledge.pk] == {True, False},
            told=read_told(pledge, notices=[notices[n] for n in sorted(told.get(pledge.code, ())) if n in notices]),
            answers=tuple(answers[pledge.pk]),
        )
        for pledge in chosen
    ]


def read_late_order(pledge: Pledge) -> LateOrder:
    """One order, live or not, with its notices and answers."""
    return read_late_orders(pledge.show, pledges=[pledge])[0]


def _told_numbers(show: Show, *, pledges: Sequence[Pledge]) -> dict[str, set[int]]:
    mails = OutboxMessage.objects.filter(show=show, name=NAME).exclude(state=OutboxMessage.State.DROPPED)
    if len(pledges) == 1:
        mails = mails.filter(key__startswith=f"{NAME}:{pledges[0].code}:")
    found: defaultdict[str, set[int]] = defaultdict(set)
    for key in mails.values_list("key", flat=True).iterator():
        _, code, number = key.split(":")
        found[code].add(int(number))
    return found


def read_told(pledge: Pledge, *, notices: Sequence[LateNotice]) -> tuple[Told, ...]:
    """These notices, in their order, as the ones that `pledge` was sent; its show must be loaded."""
    told: list[Told] = []
    region, before_on = region_of(pledge.address.get("country_code", "")), None
    for number, notice in enumerate(notices, start=1):
        delay = Delay(
            agreed_on=agreed_on(pledge),
            told_on=notice.written_at.astimezone(pledge.show.zone).date(),
            number=number,
            new_on=notice.new_on,
            before_on=before_on,
        )
        before_on = notice.new_on
        until_on = silence_of(delay, region=region).until_on
        told.append(Told(notice, delay, until_on, consents_by_silence(delay, region=region)))
    return tuple(told)


def with_notice(order: LateOrder, *, notice: LateNotice) -> LateOrder:
    """The order as it is once it has been sent `notice`, which may be one that is only being written."""
    return replace(order, told=read_told(order.pledge, notices=[*(told.notice for told in order.told), notice]))


@dataclass(frozen=True, slots=True)
class LateWarning:
    """A posting date that comes near or is past, with orders that are not posted and know of no later day."""

    due_on: date
    orders: int
    is_past: bool
    is_further: bool  # they have been told of a delay before


def find_late_warning(show: Show, *, today_on: date) -> LateWarning | None:
    """
    The first posting date within two weeks, or past, that nobody has been told will not be kept.

    One query while no date is near. Orders that were told that no date can be given wait for the next notice.
    """
    if show.state in (Show.State.DRAFT, Show.State.CALLED_OFF):
        return None
    last_on = today_on + timedelta(days=WARN_DAYS)
    first_on = waiting_orders(show).aggregate(first=Min("posting_by_on"))["first"]
    if first_on is None or first_on > last_on:
        return None
    dues = [(one.due_on, bool(one.told)) for one in read_late_orders(show)]
    near = sorted((due_on, is_told) for due_on, is_told in dues if due_on and due_on <= last_on)
    if not near:
        return None
    due_on = near[0][0]
    return LateWarning(due_on, orders=len(near), is_past=due_on < today_on, is_further=near[0][1])


def warn_of_late(show: Show, *, now: datetime) -> LateWarning | None:
    """The same for a page that knows the moment."""
    return find_late_warning(show, today_on=now.astimezone(show.zone).date())


def posting_day(pledge: Pledge) -> date | None:
    """By when an order is posted as its backer knows it; None where no day can be given now. One query, or five."""
    if not pledge.show.late_notices.exists():
        return pledge.posting_by_on
    return read_late_order(pledge).due_on


def has_no_day(show: Show) -> bool:
    """The newest notice of the show gives no posting day. Asked only once orders are closed: before, there is one."""
    if show.closed_at is None:
        return False
    newest = show.late_notices.order_by("-number").values_list("new_on", flat=True)[:1]
    return list(newest) == [None]


@dataclass(frozen=True, slots=True)
class NoticeRow:
    """A notice as the studio lists it: how many were told, and what has become of their orders since."""

    notice: LateNotice
    told: int
    waits: int
    cancels: int
    silent: int


def list_notices(show: Show) -> tuple[NoticeRow, ...]:
    """The notices of `show`, the newest first. Silent: live, nothing said, not posted."""
    notices = list(show.late_notices.select_related("batch").order_by("-number"))
    orders = read_late_orders(show) if notices else []
    rows = []
    for notice in notices:
        words = list(notice.answers.values_list("word", flat=True))
        mails = OutboxMessage.objects.filter(show=show, name=NAME, key__endswith=f":{notice.number}")
        heard = [one for one in orders if any(told.notice.pk == notice.pk for told in one.told)]
        answered = [one for one in heard if any(answer.notice_id == notice.pk for answer in one.answers)]
        rows.append(
            NoticeRow(
                notice=notice,
                told=mails.exclude(state=OutboxMessage.State.DROPPED).count(),
                waits=words.count(WAIT),
                cancels=words.count(CANCEL),
                silent=len(heard) - len(answered),
            )
        )
    return tuple(rows)


def list_concerned(orders: Sequence[LateOrder], *, new_on: date | None) -> list[LateOrder]:
    """
    Whom a notice with this date is for: orders that wait and were not promised that day or a later one anyway.

    Somebody whose person was removed has no address to write to.
    """
    return [
        one
        for one in orders
        if one.is_waiting and one.pledge.email and (new_on is None or one.due_on is None or one.due_on < new_on)
    ]


def money_back_by(pledge: Pledge, *, vests_at: datetime) -> date:
    """The last day to send the money of an order back, where the right to it arises at this moment."""
    vests_on = vests_at.astimezone(pledge.show.zone).date()
    holidays = holidays_of("US", (vests_on.year, vests_on.year + 1)) or frozenset()
    return refund_by(vests_on, region=region_of(pledge.address.get("country_code", "")), holidays=holidays)


@dataclass(frozen=True, slots=True)
class Waiting:
    """How many orders wait for a print to be posted, and the days by which their backers expect it."""

    orders: int
    first_on: date | None
    last_on: date | None
    without_day: int


def read_waiting(show: Show) -> Waiting:
    """Those of `show`; the days are the ones that the backers know of, by agreement or by notice."""
    dues = [one.due_on for one in read_late_orders(show)]
    days = [due_on for due_on in dues if due_on]
    return Waiting(len(dues), min(days, default=None), max(days, default=None), dues.count(None))


def list_begun(show: Show) -> list[LateOrder]:
    """Orders that were told of a delay and of which a part is posted: what becomes of the rest is settled by hand."""
    return [one for one in read_late_orders(show) if one.is_begun and one.told]

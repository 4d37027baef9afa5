"""Late posting: until when to tell, what silence means, when money is back; 16 CFR Part 435 and its like."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from campaign.measures.workdays import next_workday
from campaign.planning.law.regions import Region

UNSTATED_DAYS = 30  # 16 CFR 435.2(a)(1)(ii): where no time was stated
SILENCE_DAYS = 30  # 16 CFR 435.2(b)(1)(ii), (iii)
US_REFUND_WORKDAYS = 7  # 16 CFR 435.1(b)(1)
REFUND_DAYS = 14  # Directive 2011/83/EU art. 13(1), from memory; what the house promises everywhere else
FAIR_DAYS = 7  # our own: nobody's order ends by silence sooner than a week after the notice
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Delay:
    """
    What one order was told: `agreed_on` is the posting date agreed to, `told_on` the day of this notice.

    `number` counts the notices this order was sent, from 1; `new_on` None where no date can be given; `before_on` is
    the date that the notice before this one gave, None for the first and where that one gave none.
    """

    agreed_on: date
    told_on: date
    number: int
    new_on: date | None
    before_on: date | None = None


@dataclass(frozen=True, slots=True)
class Silence:
    """What no answer means: the order ends with the day `until_on`, or, without one, it stays."""

    until_on: date | None

    @property
    def ends_order(self) -> bool:
        """Who says nothing gets the money back."""
        return self.until_on is not None


STAYS = Silence(until_on=None)


def ship_by(*, completed_on: date, stated_on: date | None = None) -> date:
    """
    The last day to post an order: the stated day, else thirty days from the completed order.

    Parameters: completed_on, the day on which the payment and all that is needed to post were there.
    Source: 16 CFR 435.2(a)(1), 435.1(c); checked in tests/outside/test_ftc_dates.py.

    >>> ship_by(completed_on=date(2026, 1, 15))
    datetime.date(2026, 2, 14)
    """
    return stated_on or completed_on + timedelta(days=UNSTATED_DAYS)


def consents_by_silence_until(agreed_on: date) -> date:
    """
    The latest new date of a first notice to which silence is consent; none, or a later one, and silence cancels.

    The same day is the last one for an express answer where silence cancels.
    Source: 16 CFR 435.2(b)(1)(ii), (iii); checked in tests/outside/test_ftc_dates.py.

    >>> consents_by_silence_until(date(2026, 4, 30))
    datetime.date(2026, 5, 30)
    """
    return agreed_on + timedelta(days=SILENCE_DAYS)


def silence_of(delay: Delay, *, region: Region) -> Silence:
    """
    What it means if the backer says nothing to this notice.

    Notes: outside the United States silence changes nothing here. A first notice that comes after the agreed date is
        too late for consent by silence, so silence cancels whatever the new date; nobody's order ends sooner than
        FAIR_DAYS after being told (our own, for notices that come late). A further notice after one without a date has
        no date of before to end on: SILENCE_DAYS from being told (our own).
    Source: 16 CFR 435.2(b)(1)(ii), (iii), (b)(2), (c)(5); the number (b)(2) from memory.

    >>> silence_of(Delay(date(2026, 4, 30), date(2026, 4, 20), 1, date(2026, 6, 15)), region=Region.US).until_on
    datetime.date(2026, 5, 30)
    """
    if region is not Region.US:
        return STAYS
    fair_on = delay.told_on + timedelta(days=FAIR_DAYS)
    if delay.number > 1:
        return Silence(until_on=max(fair_on, delay.before_on or delay.told_on + timedelta(days=SILENCE_DAYS)))
    until_on = consents_by_silence_until(delay.agreed_on)
    is_in_time = delay.told_on <= delay.agreed_on
    if is_in_time and delay.new_on is not None and delay.new_on <= until_on:
        return STAYS
    return Silence(until_on=max(until_on, fair_on))


def consents_by_silence(delay: Delay, *, region: Region) -> bool:
    """The rule itself takes silence as consent to the new date; elsewhere an order that stays has agreed to nothing."""
    return region is Region.US and not silence_of(delay, region=region).ends_order


def refund_by(vests_on: date, *, region: Region, holidays: Collection[date] = ()) -> date:
    """
    The last day to send money back, where the right to it arises on `vests_on`.

    Parameters: holidays, public holidays of the United States; used for that region alone.
    Notes: seven working days there; fourteen days elsewhere. The day itself does not count.
    Source: 16 CFR 435.1(b)(1); Directive 2011/83/EU art. 13(1) and SI 2013/3134 reg. 34 (both from memory).

    >>> refund_by(date(2026, 3, 16), region=Region.US)
    datetime.date(2026, 3, 25)
    """
    if region is not Region.US:
        return vests_on + timedelta(days=REFUND_DAYS)
    day = vests_on
    for _ in range(US_REFUND_WORKDAYS):
        day = next_workday(day + ONE_DAY, holidays)
    return day

"""What the artist packs in: how much is needed, there and to be bought; what is said of prints, post and customs."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from campaign.addresses.rules import is_latin
from campaign.models import Edition, PostageRate, Show, Studio
from campaign.queries.post_zones import country_words
from campaign.queries.postage import rates_in_force
from fulfilment.models import CustomsFacts, Mailer, Parcel, PostService, TravelFacts
from fulfilment.packing import leaves_customs_area
from fulfilment.queries.parcel_plan import PackingGround, ParcelPlan, plan_parcels, read_packing_ground
from fulfilment.queries.production import read_ready_copies


@dataclass(frozen=True, slots=True)
class MailerCount:
    """One mailer in the counting list: `in_parcels` have parcels already, `coming` are for paid copies without one."""

    mailer: Mailer
    in_parcels: int
    coming: int

    @property
    def needed(self) -> int:
        """For everything that is paid for."""
        return self.in_parcels + self.coming

    @property
    def to_buy(self) -> int:
        """What is needed and not there."""
        return max(0, self.needed - self.mailer.count)

    @property
    def cost_minor(self) -> int:
        """What buying it costs."""
        return self.to_buy * self.mailer.price_minor


@dataclass(frozen=True, slots=True)
class ZoneLine:
    """A zone of the table of postage, its countries in words, and what the post takes to it, if that is said."""

    zone: str
    countries: str
    service: PostService | None
    is_gone: bool = False  # the table of postage does not have it any more


@dataclass(frozen=True, slots=True)
class Material:
    """The whole page: the counting list, what is said of each print, each zone and for customs."""

    counts: tuple[MailerCount, ...]
    editions: tuple[tuple[Edition, TravelFacts | None], ...]
    zones: tuple[ZoneLine, ...]
    customs: CustomsFacts | None
    unplanned: int
    refused: int
    has_notes: bool
    cautions: tuple[str, ...]

    @property
    def cost_minor(self) -> int:
        """What everything that is to be bought costs."""
        return sum(count.cost_minor for count in self.counts)

    @property
    def to_buy(self) -> int:
        """How many mailers are to be bought."""
        return sum(count.to_buy for count in self.counts)


def read_material(show: Show, *, today: date) -> Material:
    """
    Everything on the page Packing material. A dozen queries.

    What is not in a parcel yet is planned as numbering would today, printed or not, so that mailers can be bought
    before printing ends.
    """
    ground = read_packing_ground(show, today=today)
    plan = plan_parcels(ground, read_ready_copies(show, with_unprinted=True))
    coming = Counter(one.mailer.pk for one in plan.parcels if one.mailer)
    counts = [MailerCount(one, one.count - ground.left[one.pk], coming[one.pk]) for one in ground.mailers]
    has_notes = _has_notes(ground, plan)
    return Material(
        counts=tuple(counts),
        editions=tuple((edition, ground.travel.get(code)) for code, edition in ground.editions.items()),
        zones=list_zones(ground.rates, services=list(ground.services.values())),
        customs=CustomsFacts.objects.filter(show=show).first(),
        unplanned=sum(len(one.copies) for one in plan.parcels if one.mailer is None),
        refused=sum(len(one.group.copies) for one in plan.refused),
        has_notes=has_notes,
        cautions=tuple(_cautions(ground, has_notes=has_notes)),
    )


def find_mailer(*, show_pk: int, code: str) -> Mailer | None:
    """The mailer `code` of a show; None if there is none."""
    return Mailer.objects.filter(show=show_pk, code=code).first()


def find_travel(edition: Edition) -> TravelFacts | None:
    """What is said of the print; None while nothing is."""
    return TravelFacts.objects.filter(edition=edition).first()


def find_customs(show: Show) -> CustomsFacts | None:
    """What is said for customs; None while nothing is."""
    return CustomsFacts.objects.filter(show=show).first()


def list_zones(rates: Sequence[PostageRate], *, services: Sequence[PostService]) -> tuple[ZoneLine, ...]:
    """The zones of `rates` in the order of the table, then services whose zone it does not have any more."""
    first: dict[str, PostageRate] = {}
    for rate in rates:
        first.setdefault(rate.zone, rate)
    by_zone = {service.zone: service for service in services}
    lines = [ZoneLine(zone, _countries(zone, rate), by_zone.get(zone)) for zone, rate in first.items()]
    gone = [ZoneLine(zone, "", service, is_gone=True) for zone, service in by_zone.items() if zone not in first]
    return (*lines, *gone)


def _countries(zone: str, rate: PostageRate) -> str:
    words = country_words(rate.country_codes)
    return "" if words.casefold() == zone.casefold() else words  # the zone is called like its only country


def read_zones(show: Show, *, today: date) -> tuple[ZoneLine, ...]:
    """The zones of the table of postage in force, with what the post takes to each. Two queries."""
    rates = rates_in_force(show.postage_rates.all(), today=today)
    return list_zones(rates, services=list(PostService.objects.filter(show=show)))


def _has_notes(ground: PackingGround, plan: ParcelPlan) -> bool:
    """Whether anything leaves the customs area: in parcels, or in what is still to come."""
    if any(one.sums.customs_note for one in plan.parcels):
        return True
    for address in Parcel.objects.filter(show=ground.show).values_list("address", flat=True):
        to = {key: str(value) for key, value in address.items()}
        if to and leaves_customs_area(
            from_country=ground.show.country,
            to_country=to.get("country_code", ""),
            to_postcode=to.get("postal_code", ""),
        ):
            return True
    return False


def _cautions(ground: PackingGround, *, has_notes: bool) -> list[str]:
    """What is not set up, and what that means: one plain sentence each."""
    found = []
    if not ground.mailers:
        found.append(
            "No mailer is entered yet. Until one is, every address gets one parcel, as heavy as the page of the print "
            "says; sizes are not checked and nothing is counted for buying."
        )
    silent = [ground.editions[code].title for code in ground.editions if code not in ground.leaves]
    if ground.mailers and silent:
        found.append(
            f"How {_named(silent)} may travel is not said yet. Whoever ordered it gets one parcel, as heavy as the "
            "page of the print says, in no mailer of this list."
        )
    open_zones = {rate.zone: None for rate in ground.rates if rate.zone not in ground.services}
    if open_zones:
        found.append(
            f"What the post takes to {_named(list(open_zones))} is not said yet: nothing is refused for its size or "
            "weight there, nothing counts as insured, and what leaves the customs area gets the fuller note, CN 23."
        )
    return found + (_customs_cautions(ground) if has_notes else [])


def _customs_cautions(ground: PackingGround) -> list[str]:
    found = []
    if ground.limit_minor is None:
        found.append("The price of an SDR is not entered, so every parcel abroad gets the fuller customs note, CN 23.")
    bare = [
        edition.title
        for code, edition in ground.editions.items()
        if not (code in ground.travel and ground.travel[code].commodity_code and ground.travel[code].origin_country)
    ]
    if bare:
        found.append(
            f"Commodity code or country of origin of {_named(bare)} is missing; its customs notes leave them blank."
        )
    sender = Studio.objects.filter(pk=1).values_list("address", flat=True).first() or ""
    if not is_latin(sender):
        found.append("The sender’s address is not in Latin letters; customs abroad has to read it. Write it in those.")
    return found


def _named(names: Sequence[str]) -> str:
    *first, last = [f"“{name}”" for name in names]
    return f"{', '.join(first)} and {last}" if first else last

"""Which parcels copies make, in what, and what each weighs, costs and needs. Reads only; services store it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.db.models import Exists, F, OuterRef, Q

from campaign.models import Copy, Edition, PostageRate, Show
from campaign.queries.postage import Load, rates_in_force, smallest_step, steps_to
from fulfilment import packing
from fulfilment.models import (
    CustomsFacts,
    Mailer,
    PackAnyway,
    Parcel,
    ParcelCopy,
    ParcelEvent,
    PostService,
    TravelFacts,
)
from fulfilment.packing import Box, CannotPack, Consignment, CustomsNote, Leaf, Limits, PackedParcel, PrintedCopy

MOST_WORDS = 500  # of what stands against a parcel, as its row keeps it


@dataclass(frozen=True, slots=True)
class Post:
    """What the post does for one zone of the table; without a service nothing is known of its limits."""

    zone: str
    steps: tuple[PostageRate, ...]
    service: PostService | None

    @property
    def limits(self) -> Limits:
        """What it takes at most."""
        one = self.service
        if one is None:
            return Limits(self.zone)
        return Limits(
            str(one), mass_g=one.mass_g, longest_mm=one.longest_mm, sum_mm=one.sum_mm,
            tube_longest_mm=one.tube_longest_mm, tube_sum_mm=one.tube_sum_mm,
            length_and_girth_mm=one.length_and_girth_mm, least_face_mm=(one.least_long_mm, one.least_short_mm),
            divisor_mm3_per_g=one.divisor_mm3_per_g, divisor_from_mm3=one.divisor_from_mm3,
        )  # fmt: skip

    def price(self, box: Box | None, mass_g: int, copies: int) -> int | None:
        """What posting costs by the table in force, minor units; None where it has no such step."""
        charged_g = packing.charged_mass_g(box, mass_g=mass_g, limits=self.limits)
        step = smallest_step(self.steps, load=Load(copies, charged_g))
        return step.cost_minor if step else None


@dataclass(frozen=True, slots=True)
class PackingGround:
    """
    What parcels of a show are planned from: everything the artist has set up, and the postage of one day.

    `left` are the mailers that no parcel has yet, by key, less than none where more must be bought; `limit_minor` is
    300 SDR, None while their price is not known; `anyway` are copies that the artist packs whatever the rules say.
    """

    show: Show
    editions: Mapping[str, Edition]
    travel: Mapping[str, TravelFacts]
    mailers: tuple[Mailer, ...]
    left: Mapping[int, int]
    services: Mapping[str, PostService]
    rates: Sequence[PostageRate]
    limit_minor: int | None
    anyway: frozenset[int]
    _posts: dict[str, Post] = field(default_factory=dict)

    @property
    def leaves(self) -> dict[str, Leaf]:
        """The prints of which it is said how they travel, by edition."""
        return {
            code: Leaf(
                code, self.editions[code].width_mm, self.editions[code].height_mm, one.thickness_um, one.mass_g,
                least_tube_mm=one.least_tube_mm, name=self.editions[code].title,
            )
            for code, one in self.travel.items()
            if one.thickness_um
        }  # fmt: skip

    def post_to(self, country: str) -> Post:
        """The post to a country (ISO code)."""
        if country not in self._posts:
            steps = steps_to(self.rates, country=country)
            zone = steps[0].zone if steps else ""
            self._posts[country] = Post(zone, tuple(steps), self.services.get(zone))
        return self._posts[country]


@dataclass(frozen=True, slots=True)
class ParcelSums:
    """What a parcel weighs, measures, costs and needs: fields of its row, by their names."""

    mass_g: int
    outer_length_mm: int
    outer_width_mm: int
    outer_depth_mm: int
    is_tube: bool
    charged_mass_g: int
    postage_minor: int | None
    value_minor: int
    insured_minor: int
    customs_note: str


@dataclass(frozen=True, slots=True)
class PlannedParcel:
    """A parcel to be numbered: for whom, with which copies, in what; `caution` says what stands against it."""

    group: PackedParcel
    copies: tuple[PrintedCopy, ...]
    mailer: Mailer | None
    sums: ParcelSums
    caution: str = ""


@dataclass(frozen=True, slots=True)
class RefusedGroup:
    """Copies for one address that go into no parcel, `named` as 3/80 with their print, and why: for each mailer."""

    group: PackedParcel
    named: tuple[str, ...]
    reasons: tuple[str, ...]

    @property
    def country(self) -> str:
        """ISO code of where they go."""
        return dict(self.group.address).get("country_code", "")

    @property
    def copy_name(self) -> str:
        """The first of the copies, by which the group is named between page and site."""
        return f"{self.group.copies[0].edition_code}/{self.group.copies[0].number}"


@dataclass(frozen=True, slots=True)
class ParcelPlan:
    """Every copy in exactly one parcel, or refused."""

    parcels: tuple[PlannedParcel, ...]
    refused: tuple[RefusedGroup, ...]


def read_packing_ground(show: Show, *, today: date) -> PackingGround:
    """Everything that parcels of `show` are planned from. Eight queries."""
    editions = {edition.code: edition for edition in show.editions.all()}
    by_key = {edition.pk: edition.code for edition in editions.values()}
    travel = TravelFacts.objects.filter(edition__in=by_key)
    mailers, used = tuple(Mailer.objects.filter(show=show)), _used(show)
    facts = CustomsFacts.objects.filter(show=show).first()
    said = PackAnyway.objects.filter(copy__edition__in=by_key, copy__parcel_copy=None)
    return PackingGround(
        show=show,
        editions=editions,
        travel={by_key[one.edition_id]: one for one in travel},
        mailers=mailers,
        left={mailer.pk: mailer.count - used[mailer.pk] for mailer in mailers},
        services={service.zone: service for service in PostService.objects.filter(show=show)},
        rates=rates_in_force(show.postage_rates.all(), today=today),
        limit_minor=packing.sdr_limit_minor(minor_per_sdr_milli=facts.sdr_milli) if facts and facts.sdr_milli else None,
        anyway=frozenset(said.values_list("copy", flat=True)),
    )


def _used(show: Show) -> Counter[int]:
    """
    Mailers by key: how many parcels that are for somebody have now, and how many earlier postings have left in.

    Earlier ones are gone whatever became of the parcel since: it may travel in another, or be for nobody any more.
    """
    inside = ParcelCopy.objects.filter(parcel=OuterRef("pk"), copy__state=Copy.State.SPOKEN_FOR)
    counting = Parcel.objects.filter(Q(state=Parcel.State.POSTED) | Exists(inside), show=show, mailer__isnull=False)
    posted = ParcelEvent.objects.filter(parcel__show=show, kind=ParcelEvent.Kind.POSTED)
    earlier = posted.filter(posting__lt=F("parcel__posting")).order_by("pk")
    # A mark that was taken back and set again is one posting: the newest row of each says what it left in.
    rows = earlier.values_list("parcel", "posting", "mailer")
    left_in = {(parcel, posting): mailer for parcel, posting, mailer in rows}
    return Counter(counting.values_list("mailer", flat=True)) + Counter(one for one in left_in.values() if one)


def plan_parcels(ground: PackingGround, copies: Sequence[PrintedCopy]) -> ParcelPlan:
    """
    The parcels that `copies` make: by mailers and limits where the artist has said how the prints travel, else one
    for each address, as heavy as the editions say.
    """
    groups = dict(enumerate(packing.group_into_parcels(copies)))
    known = ground.leaves if ground.mailers else {}
    planned = {key: group for key, group in groups.items() if all(copy.edition_code in known for copy in group.copies)}
    packed, refused = _pack(ground, groups=planned, leaves=known)
    mailers = {mailer.name: mailer for mailer in ground.mailers}
    parcels: list[PlannedParcel] = []
    left_out: list[RefusedGroup] = []
    for key, group in groups.items():
        if key in packed:
            shares = packing.share_out(group.copies, parcels=[one.leaves for one in packed[key]])
            parcels += [
                _planned(ground, group=group, copies=share, mailer=mailers[one.mailer.code])
                for one, share in zip(packed[key], shares, strict=True)
            ]
        elif key in refused and not ground.anyway.issuperset(copy.key for copy in group.copies):
            named = tuple(_named(ground, copy) for copy in group.copies)
            left_out.append(RefusedGroup(group, named, _reasons(ground, group=group, why=refused[key])))
        else:
            why = "; ".join(_reasons(ground, group=group, why=refused[key])) if key in refused else ""
            parcels.append(_planned(ground, group=group, copies=group.copies, mailer=None, caution=why[:MOST_WORDS]))
    return ParcelPlan(tuple(parcels), tuple(left_out))


def _pack(
    ground: PackingGround, *, groups: Mapping[int, PackedParcel], leaves: Mapping[str, Leaf]
) -> tuple[dict[int, tuple[packing.Packed, ...]], dict[int, CannotPack]]:
    consignments, services = [], {}
    for key, group in groups.items():
        counts: dict[Leaf, int] = {}
        for copy in group.copies:
            leaf = leaves[copy.edition_code]
            counts[leaf] = counts.get(leaf, 0) + 1
        post = ground.post_to(dict(group.address).get("country_code", ""))
        services[post.zone] = (post.limits, post.price)
        consignments.append(Consignment(key, tuple(counts.items()), post.zone))
    mailers = [as_packing_mailer(mailer, count=ground.left[mailer.pk]) for mailer in ground.mailers]
    return packing.pack_all(consignments, mailers=mailers, services=services, unit=ground.show.length_unit)


def as_packing_mailer(mailer: Mailer, *, count: int) -> packing.Mailer:
    """A row as the pure sums know it; its name is its code there, since sentences name it."""
    inner = Box(mailer.inner_length_mm, mailer.inner_width_mm, mailer.inner_depth_mm, is_tube=mailer.is_tube)
    return packing.Mailer(
        mailer.name, inner, outer_box(mailer), mailer.mass_g, mailer.price_minor, count, edge_mm=mailer.edge_mm
    )


def outer_box(mailer: Mailer) -> Box:
    """Its outer size."""
    return Box(mailer.outer_length_mm, mailer.outer_width_mm, mailer.outer_depth_mm, is_tube=mailer.is_tube)


def _named(ground: PackingGround, copy: PrintedCopy) -> str:
    edition = ground.editions[copy.edition_code]
    return f"{copy.number}/{edition.size} {edition.title}"


def _reasons(ground: PackingGround, *, group: PackedParcel, why: CannotPack) -> tuple[str, ...]:
    title = ground.editions[why.code].title
    if not ground.post_to(dict(group.address).get("country_code", "")).steps:
        return (f"“{title}”: the table of postage has no price for this country",)
    return tuple(f"“{title}” in {reason}" for reason in why.reasons)


def _planned(
    ground: PackingGround, *, group: PackedParcel, copies: Sequence[PrintedCopy], mailer: Mailer | None,
    caution: str = "",
) -> PlannedParcel:  # fmt: skip
    sums = reckon_parcel(ground, address=dict(group.address), copies=copies, mailer=mailer)
    return PlannedParcel(group, tuple(copies), mailer, sums, caution)


def reckon_parcel(
    ground: PackingGround, *, address: Mapping[str, str], copies: Sequence[PrintedCopy], mailer: Mailer | None,
    weighed_g: int | None = None,
) -> ParcelSums:  # fmt: skip
    """
    What a parcel with `copies` to `address` weighs, measures, costs and needs.

    Parameters: mailer, None for one that is not said; weighed_g, what the scales said, in place of the sum.
    """
    post, box = ground.post_to(address.get("country_code", "")), _box_of(ground, copies=copies, mailer=mailer)
    mass_g = _mass_g(ground, copies=copies, mailer=mailer) if weighed_g is None else weighed_g
    value_minor = sum(copy.value_minor for copy in copies)
    insured_up_to = post.service.insured_up_to_minor if post.service else 0
    return ParcelSums(
        mass_g=mass_g,
        outer_length_mm=box.length_mm if box else 0,
        outer_width_mm=box.width_mm if box else 0,
        outer_depth_mm=box.depth_mm if box else 0,
        is_tube=bool(box and box.is_tube),
        charged_mass_g=packing.charged_mass_g(box, mass_g=mass_g, limits=post.limits),
        postage_minor=post.price(box, mass_g, len(copies)),
        value_minor=value_minor,
        insured_minor=min(value_minor, insured_up_to),
        customs_note=_customs_note(ground, address=address, post=post, mass_g=mass_g, value_minor=value_minor),
    )


def _box_of(ground: PackingGround, *, copies: Sequence[PrintedCopy], mailer: Mailer | None) -> Box | None:
    """The mailer's outer size; without one that of a single packed copy, as its edition says."""
    if mailer is not None:
        return outer_box(mailer)
    if len(copies) != 1:
        return None
    edition = ground.editions[copies[0].edition_code]
    sides = (edition.parcel_width_mm, edition.parcel_height_mm, edition.parcel_depth_mm)
    return Box(*sides) if all(sides) else None


def _mass_g(ground: PackingGround, *, copies: Sequence[PrintedCopy], mailer: Mailer | None) -> int:
    leaves = ground.leaves
    if mailer is None or any(copy.edition_code not in leaves for copy in copies):
        return sum(copy.mass_g for copy in copies)
    return mailer.mass_g + sum(leaves[copy.edition_code].mass_g for copy in copies)


def _customs_note(
    ground: PackingGround, *, address: Mapping[str, str], post: Post, mass_g: int, value_minor: int
) -> str:
    """Without the price of an SDR, or a word on the service, the fuller form: it is never the wrong one."""
    note = packing.customs_note(
        value_minor=value_minor,
        limit_minor=ground.limit_minor or 0,
        mass_g=mass_g,
        is_letter_post=bool(post.service and post.service.is_letter_post),
        leaves_customs_area=packing.leaves_customs_area(
            from_country=ground.show.country,
            to_country=address.get("country_code", ""),
            to_postcode=address.get("postal_code", ""),
        ),
    )
    return "" if note is CustomsNote.NONE else note.value


def parcel_faults(
    ground: PackingGround, *, address: Mapping[str, str], copies: Sequence[PrintedCopy], mailer: Mailer | None,
    sums: ParcelSums,
) -> tuple[str, ...]:  # fmt: skip
    """Why a parcel should not go like this: what does not fit, each limit that is passed, a weight without a price."""
    post, box = ground.post_to(address.get("country_code", "")), _box_of(ground, copies=copies, mailer=mailer)
    unit = ground.show.length_unit
    faults = list(packing.limit_faults(box, mass_g=sums.mass_g, limits=post.limits, unit=unit))
    leaves = ground.leaves
    if mailer is not None and all(copy.edition_code in leaves for copy in copies):
        counts = [(leaf, sum(copy.edition_code == leaf.code for copy in copies)) for leaf in leaves.values()]
        inside = [(leaf, count) for leaf, count in counts if count]
        fit = packing.fit_fault(inside, as_packing_mailer(mailer, count=1), unit=unit)
        faults[:0] = [fit] if fit else []
    if sums.postage_minor is None:
        faults.append(f"no postage for {sums.charged_mass_g:,} g")
    return tuple(faults)


def say_anyway(
    ground: PackingGround, *, address: Mapping[str, str], copies: Sequence[PrintedCopy], mailer: Mailer | None,
    sums: ParcelSums,
) -> tuple[str, ...]:  # fmt: skip
    """What stands against a parcel that is packed all the same; without a mailer, why none of them takes it."""
    if mailer is None:
        refused = plan_parcels(replace(ground, anyway=frozenset()), copies).refused
        if refused:
            return tuple(dict.fromkeys(reason for one in refused for reason in one.reasons))
    return parcel_faults(ground, address=address, copies=copies, mailer=mailer, sums=sums)

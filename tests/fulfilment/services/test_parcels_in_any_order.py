"""Whatever is done to parcels, in whatever order: their sums agree with their copies and no mailer goes missing."""

import contextlib
import random
import uuid
from dataclasses import replace

import pytest

from campaign.errors import Refusal
from campaign.models import Copy, Job, Pledge
from campaign.services.pledges import cancel_pledge
from fulfilment.models import Mailer, Parcel, ParcelCopy
from fulfilment.queries.packing_material import read_material
from fulfilment.queries.parcel_packing import read_packing_state
from fulfilment.queries.parcel_plan import plan_parcels, read_packing_ground
from fulfilment.queries.production import read_ready_copies
from fulfilment.services import checks
from fulfilment.services.addresses import NewAddress, correct_address
from fulfilment.services.packing_material import MailerWish, ServiceWish, save_mailer, set_services
from fulfilment.services.packing_station import open_parcel, pack_parcel
from fulfilment.services.parcel_plan import PackingWish, change_packing, pack_anyway
from fulfilment.services.parcels import mark_posted, take_out_cancelled, undo_posted
from fulfilment.services.production import end_printing
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS
from tests.fulfilment.packed import FLAT, TUBE, set_up_customs, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, order, print_all, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
ROOMY = {**FLAT, "name": "Board mailer A3", "inner_length_mm": 440, "outer_length_mm": 460, "mass_g": 200, "count": 1}
CHECKS = [
    checks.check_parcels, checks.check_parcel_copies, checks.check_parcel_addresses, checks.check_parcel_history,
    checks.check_parcel_sums, checks.check_copy_marks,
]  # fmt: skip


class Studio:
    """One show with twelve orders, and everything that can be done to its parcels, by chance."""

    def __init__(self, show, *, seed):
        self.show, self.chance, self.done = show, random.Random(seed), []
        set_up_packing(show, mailers=({**FLAT, "count": 3}, ROOMY, TUBE), thickness_um=3_000)
        set_up_service(show, zone="Europe")
        set_up_customs(show)
        for number in range(12):
            person = {"name": f"Person {number // 2}", "email": f"p{number // 2}@example.org"}
            order(show, **person, address=LONDON_ADDRESS if number % 4 < 2 else BERLIN_ADDRESS)
        close(show)
        print_all(show)
        self.number()

    def number(self):
        job = end_printing(show=self.show, now=LATER)
        self.show.refresh_from_db()
        while work(job) == "paused":
            pass

    def parcel(self):
        return self.chance.choice(list(Parcel.objects.order_by("number")) or [None])

    def act(self):
        act = self.chance.choice([self.number, self.cancel, self.take_out, self.correct, self.change, self.pack,
                                  self.open, self.post, self.undo, self.mailer, self.limits, self.anyway])  # fmt: skip
        with contextlib.suppress(Refusal):  # a rule said no, which is an answer
            act()
            self.done.append(act.__name__)

    def cancel(self):
        live = list(Pledge.objects.filter(state__in=Pledge.LIVE).order_by("pk"))
        if len(live) > 4:
            cancel_pledge(pledge=self.chance.choice(live), by_backer=False, now=LATER)

    def take_out(self):
        take_out_cancelled(show=self.show, now=LATER)

    def correct(self):
        pledge = self.chance.choice(list(Pledge.objects.filter(state=Pledge.State.PAID).order_by("pk")))
        to = NewAddress(pledge.name, self.chance.choice([BERLIN_ADDRESS, LONDON_ADDRESS]), bears_postage=True)
        correct_address(pledge=pledge, number=0, to=to, answering=None, now=LATER)

    def change(self):
        codes = ["", *Mailer.objects.order_by("pk").values_list("code", flat=True)]
        wish = PackingWish(self.chance.choice(codes), self.chance.choice([None, 90, 3_000]), self.chance.random() < 0.5)
        change_packing(show=self.show, code=self.parcel().code, wish=wish, by="bo", now=LATER)

    def pack(self):
        parcel = self.parcel()
        kept = Copy.objects.filter(parcel_copy__parcel=parcel, state=Copy.State.SPOKEN_FOR)
        confirmed = [f"harbour/{copy.number}" for copy in kept]
        pack_parcel(show=self.show, code=parcel.code, confirmed=confirmed, request_key=uuid.uuid4(), by="bo", now=LATER)

    def open(self):
        open_parcel(show=self.show, code=self.parcel().code, by="bo", now=LATER)

    def post(self):
        mark_posted(show=self.show, tracking={self.parcel().code: ""}, now=LATER)

    def undo(self):
        undo_posted(show=self.show, codes=frozenset([self.parcel().code]), now=LATER)

    def mailer(self):
        found = Mailer.objects.get(name=FLAT["name"])
        wish = replace(MailerWish(**FLAT), mass_g=self.chance.choice([80, 120]), count=self.chance.randrange(6))
        save_mailer(show=self.show, mailer=found, wish=wish, now=LATER)

    def limits(self):
        mass_g = self.chance.choice([0, 150, 2_000])
        wishes = [ServiceWish(zone=zone, mass_g=mass_g, insured_up_to_minor=5_000) for zone in ("Germany", "Europe")]
        set_services(show=self.show, services=wishes, now=LATER)

    def anyway(self):
        for one in read_packing_state(self.show, today=LATER.date()).refused[:1]:
            work(pack_anyway(show=self.show, copy_name=one.copy_name, by="ada", now=LATER))

    def agrees(self):
        """Rows, sums and counts; copies that wait are planned or refused, each once."""
        assert [check().difference for check in CHECKS if check().difference] == []
        ready = read_ready_copies(self.show)
        plan = plan_parcels(read_packing_ground(self.show, today=LATER.date()), ready)
        waiting = [copy.key for one in plan.parcels for copy in one.copies]
        waiting += [copy.key for one in plan.refused for copy in one.group.copies]
        assert sorted(waiting) == sorted(copy.key for copy in ready)
        in_parcels = set(ParcelCopy.objects.values_list("copy", flat=True))
        assert not in_parcels & set(waiting)
        paid = set(Copy.objects.filter(state=Copy.State.SPOKEN_FOR).values_list("pk", flat=True))
        assert paid == (in_parcels | set(waiting)) & paid
        self.counts_agree()

    def counts_agree(self):
        """What is left of a mailer is what was bought without what parcels for somebody travel in."""
        short = {mailer.pk: count for mailer, count in read_packing_state(self.show, today=LATER.date()).short}
        for count in read_material(self.show, today=LATER.date()).counts:
            travelling = [
                parcel for parcel in Parcel.objects.filter(mailer=count.mailer)
                if parcel.is_posted or parcel.parcel_copies.filter(copy__state=Copy.State.SPOKEN_FOR).exists()
            ]  # fmt: skip
            assert count.in_parcels == sum(parcel.posting for parcel in travelling)
            assert short.get(count.mailer.pk, 0) == max(0, count.in_parcels - count.mailer.count)


@pytest.mark.parametrize("seed", range(4))
def test_sums_and_mailers_agree_after_every_act(show, seed):
    studio = Studio(show, seed=seed)
    studio.agrees()
    for _ in range(25):
        studio.act()
        studio.agrees()
    assert len(set(studio.done)) >= 6, studio.done
    assert not Job.objects.filter(kind="papers", state="failed").exists()

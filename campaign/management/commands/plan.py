"""manage.py plan SHOW: the best show for a sum of wall money."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from campaign.measures.errors import MeasureError
from campaign.measures.lengths import format_size
from campaign.measures.money import format_minor, parse_minor
from campaign.models import Show
from campaign.planning import Plan, plan_at
from campaign.queries.explain import PlanBill, read_bill
from campaign.queries.money import read_money
from campaign.queries.plan_request import load_request
from campaign.queries.standing import load_staircase
from campaign.services.plans import refresh_staircase


class Command(BaseCommand):
    """Read from the staircase, which is computed first if an edit has made it stale."""

    help = "The best show that a sum of wall money buys (what is in hand, if none is given)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("show", help="the show's code, such as demo")
        parser.add_argument("--money", default="", help="wall money in the show's currency, such as 812.50")
        parser.add_argument("--json", action="store_true", dest="as_json", help="JSON, sums in minor units")

    def handle(self, *args: Any, show: str, money: str, as_json: bool, **options: Any) -> None:
        found = Show.objects.filter(code=show).first()
        if found is None:
            known = ", ".join(Show.objects.values_list("code", flat=True)) or "none; import one first"
            raise CommandError(f"There is no show “{show}”. There are: {known}.")
        money_minor = read_money(found).in_hand.total_minor
        try:
            money_minor = parse_minor(money, currency=found.currency) if money else money_minor
        except MeasureError as fault:
            raise CommandError(f"--money: {fault}") from fault
        run = refresh_staircase(show=found, now=timezone.now())
        request = load_request(run.request)
        plan = plan_at(request, load_staircase(run), money_minor)
        if as_json:
            self.stdout.write(json.dumps(as_data(plan), indent=2))
        else:
            self.stdout.write(as_text(plan, bill=read_bill(found, plan=plan, request=request), show=found))


def as_data(plan: Plan) -> dict[str, Any]:
    """The plan as JSON values; `next` is None at the top of the staircase."""
    return {
        "money_minor": plan.money_minor,
        "cost_minor": plan.cost_minor,
        "worth": plan.worth,
        "proved": plan.proved,
        "works": [
            {
                "code": work.code,
                "size": work.size_code,
                "finish": work.finish_code,
                "cost_minor": work.cost_minor,
                "wall": work.placement.wall_code,
                "x_mm": work.placement.x_mm,
                "y_mm": work.placement.y_mm,
            }
            for work in plan.works
        ],
        "next": None
        if plan.next_money_minor is None
        else {"money_minor": plan.next_money_minor, "adds": plan.next_adds},
    }


def as_text(plan: Plan, *, bill: PlanBill, show: Show) -> str:
    """The plan as lines to read."""

    def money(minor: int) -> str:
        return format_minor(minor, currency=show.currency, locale=show.locale)

    proof = "proved best" if plan.proved else f"no show can be worth more than {plan.bound_worth}"
    lines = [f"{money(plan.money_minor)} buys {len(plan.works)} works for {money(plan.cost_minor)}, {proof}."]
    for work in plan.works:
        place = work.placement
        size = format_size(place.width_mm, place.height_mm, unit=show.length_unit)
        lines.append(
            f"  {work.title}: {size}, {work.finish_code}, {money(work.cost_minor)}; wall {place.wall_code}, "
            f"{place.x_mm} mm from the left, {place.y_mm} mm from the floor"
        )
    for line in bill.bought:
        lines.append(f"  bought for the show: {line.text}: {line.arithmetic}; {money(line.amount_minor)}")
    if bill.show_minor:
        lines.append(f"  the show as a whole: {money(bill.show_minor)}")
    if plan.next_money_minor is None:
        lines.append("Nothing better can be had for more money.")
    else:
        lines.append(f"The next better show starts at {money(plan.next_money_minor)}.")
    return "\n".join(lines)

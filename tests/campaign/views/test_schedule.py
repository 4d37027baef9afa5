"""The days in the studio: what the page says, and what can be entered there."""

import uuid
from datetime import date

import pytest
from django.urls import reverse

from campaign.models import Deadline
from campaign.services.campaigns import close_campaign
from campaign.services.schedule import StepWish, set_steps
from tests.builders import NOW, pay, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")
PAGE = "/studio/tideline/measure/days/"


def says(answer) -> str:
    return " ".join(answer.content.decode().split())


@pytest.fixture
def deadline(show):
    return Deadline.objects.create(show=show, kind="grant", name="City culture fund", on=date(2026, 3, 20))


def test_a_show_in_time_says_so_and_draws_every_item(ada_client, show):
    answer = ada_client.get(PAGE)
    assert "Everything can be ready for hanging day, 14 May 2026." in says(answer)
    page = answer.context["page"]
    drawn = [item.name for item in page.drawing.items]
    assert drawn == [item.name for item in page.schedule.items if item.code != "launch"]  # it is more than a week ago
    assert page.basis == "full"
    assert page.workload.copies == 20


def test_the_ground_can_be_chosen_until_the_campaign_closes(ada_client, show):
    pay(place(show, copies=2))
    place(show, copies=1)
    loads = {basis: ada_client.get(PAGE, {"for": basis}).context["page"].workload for basis in ("full", "paid", "now")}
    assert [load.copies for load in loads.values()] == [20, 3, 2]
    assert loads["full"].works == 6
    assert loads["full"].printer_seconds > loads["paid"].printer_seconds > loads["now"].printer_seconds
    assert ada_client.get(PAGE, {"for": "nonsense"}).context["page"].basis == "full"
    close_campaign(show=show, now=NOW)
    page = ada_client.get(PAGE, {"for": "full"}).context["page"]
    assert (page.basis, page.workload.copies) == ("fixed", 2)


def test_a_late_show_names_what_can_be_done(ada_client, show):
    type(show).objects.update(print_hours_milli=500, printer_seconds_per_m2=36_000)
    answer = ada_client.get(PAGE)
    assert answer.context["page"].schedule.late
    assert "Printing needs " in says(answer)
    assert " more days than there are: " in says(answer)
    assert "days late" in says(answer)


def test_a_step_that_is_done_is_said_and_the_rest_goes_on_from_it(ada_client, show, clock):
    close_campaign(show=show, now=NOW)
    url = reverse("campaign:schedule_steps", args=["tideline"])
    data = filled(ada_client.get(url), materials_done="2026-03-09")
    answer = ada_client.post(url, data, follow=True)
    assert words_of(answer) == ["Saved. The days are reckoned from what is done."]
    step = show.done_steps.get()
    assert (step.step, step.begun_on, step.done_on) == ("materials", date(2026, 3, 9), date(2026, 3, 9))
    assert answer.context["page"].schedule.find("materials").is_done
    assert filled(ada_client.get(url))["materials_done"] == "2026-03-09"
    ada_client.post(url, filled(ada_client.get(url), materials_done="", materials_begun=""))
    assert not show.done_steps.exists()


def test_a_step_cannot_be_done_tomorrow_or_before_it_was_begun(ada_client, show):
    url = reverse("campaign:schedule_steps", args=["tideline"])
    data = {"proof_done": "2026-03-11", "printing_begun": "2026-03-05", "printing_done": "2026-03-04"}
    errors = ada_client.post(url, data).context["form"].errors
    assert errors["proof_done"] == ["This day has not come yet; say it when it has happened."]
    assert errors["printing_done"] == ["It cannot be done before it was begun."]
    assert not show.done_steps.exists()


def test_closed_days_are_entered_as_stretches_and_taken_away(ada_client, show):
    url = reverse("campaign:closed_days", args=["tideline"])
    rows = {"closed-0-first_on": "2026-04-13", "closed-0-last_on": "2026-04-17", "closed-0-note": "Fair"}
    answer = ada_client.post(url, filled(ada_client.get(url), **rows), follow=True)
    assert answer.redirect_chain == [(PAGE, 302)]
    assert show.closed_days.count() == 5
    assert "Mon 13 – Fri 17 Apr</span>, Fair" in says(answer)
    assert date(2026, 4, 14) in answer.context["page"].schedule.days.days_off
    ada_client.post(url, filled(ada_client.get(url), **{"closed-0-DELETE": "on"}))
    assert not show.closed_days.exists()


def test_closed_days_change_the_inputs_of_the_plan_only_until_the_close(ada_client, show):
    url = reverse("campaign:closed_days", args=["tideline"])
    show.refresh_from_db()
    before = show.inputs_version
    ada_client.post(url, filled(ada_client.get(url), **{"closed-0-first_on": "2026-04-13"}))
    show.refresh_from_db()
    assert show.inputs_version == before + 1
    ada_client.post(url, filled(ada_client.get(url), **{"closed-0-note": "Fair"}))
    show.refresh_from_db()
    assert show.inputs_version == before + 1
    close_campaign(show=show, now=NOW)
    ada_client.post(url, filled(ada_client.get(url), **{"closed-1-first_on": "2026-04-20"}))
    show.refresh_from_db()
    assert show.inputs_version == before + 1
    assert show.closed_days.count() == 2


def test_closed_days_that_end_before_they_begin_or_never_end_are_refused(ada_client, show):
    url = reverse("campaign:closed_days", args=["tideline"])
    rows = {"closed-0-first_on": "2026-04-13", "closed-0-last_on": "2026-04-12"}
    answer = ada_client.post(url, filled(ada_client.get(url), **rows))
    errors = answer.context["rows"].forms[0].errors
    assert errors["last_on"] == ["The last closed day must not be before the first."]
    rows["closed-0-last_on"] = "2062-04-12"
    answer = ada_client.post(url, filled(ada_client.get(url), **rows))
    assert words_of(answer) == ["More than 400 closed days; is a year mistyped? Nothing was changed."]
    assert not show.closed_days.exists()


def test_a_deadline_is_added_once_however_often_the_form_is_sent(ada_client, show):
    url = reverse("campaign:new_deadline", args=["tideline"])
    data = filled(ada_client.get(url), name="City culture fund", on="2026-03-20", money_minor="1.500,00 €")
    for _ in range(2):
        assert ada_client.post(url, data).status_code == 302
    found = show.deadlines.get()
    assert (found.kind, found.on, found.money_minor) == ("grant", date(2026, 3, 20), 150_000)
    answer = ada_client.get(PAGE)
    assert "in 10 days" in says(answer)
    assert [item.name for item in answer.context["page"].drawing.items if item.is_deadline] == ["City culture fund"]


def test_a_deadline_is_changed_and_keeps_its_uid(ada_client, show, deadline):
    url = reverse("campaign:deadline", args=["tideline", deadline.uid])
    ada_client.post(url, filled(ada_client.get(url), on="2026-04-02", kind="sponsor"))
    found = show.deadlines.get()
    assert (found.uid, found.on, found.kind) == (deadline.uid, date(2026, 4, 2), "sponsor")


def test_a_deadline_without_a_name_or_a_day_is_refused_at_the_field(ada_client, show):
    url = reverse("campaign:new_deadline", args=["tideline"])
    errors = ada_client.post(url, {"uid": uuid.uuid4(), "kind": "grant", "on": "soon"}).context["form"].errors
    assert set(errors) == {"name", "on"}
    assert not show.deadlines.exists()


def test_a_deadline_that_has_gone_by_is_said_plainly_until_it_is_done(ada, ada_client, show, deadline, clock):
    clock.move_to(NOW.replace(day=21))
    ada_client.force_login(ada)  # a session ends after eight hours
    assert "already past" in says(ada_client.get(PAGE))
    assert "One deadline of others is already past; it stands in the table." in says(ada_client.get(PAGE))
    url = reverse("campaign:meet_deadline", args=["tideline", deadline.uid])
    for _ in range(2):
        ada_client.post(url)
    assert "already past" not in says(ada_client.get(PAGE))
    assert show.deadlines.get().is_done
    ada_client.post(url, {"open": "1"})
    assert not show.deadlines.get().is_done


def test_a_deadline_is_taken_out_only_after_asking(ada_client, show, deadline):
    url = reverse("campaign:delete_deadline", args=["tideline", deadline.uid])
    assert "Take “City culture fund” out" in says(ada_client.get(url))
    assert show.deadlines.exists()
    ada_client.post(url)
    assert not show.deadlines.exists()
    assert ada_client.post(url).status_code == 404


def test_a_form_of_another_show_adds_nothing(ada_client, show, deadline):
    other = type(show).objects.get(pk=show.pk)
    other.pk, other.code = None, "other"
    other.save()
    url = reverse("campaign:new_deadline", args=["other"])
    answer = ada_client.post(url, {"uid": deadline.uid, "kind": "grant", "on": "2026-04-01", "name": "X"})
    assert "belongs to another show" in answer.context["form"].non_field_errors()[0]
    assert Deadline.objects.count() == 1


def test_a_country_whose_holidays_are_not_known_is_said(ada_client, show):
    type(show).objects.update(country="TA")
    assert "The public holidays of Tristan da Cunha are not known here" in says(ada_client.get(PAGE))


def test_after_hanging_day_the_page_looks_back(ada, ada_client, show, clock):
    set_steps(show=show, steps={"printing": StepWish(date(2026, 4, 20))})
    clock.move_to(NOW.replace(month=5, day=15))
    ada_client.force_login(ada)
    answer = ada_client.get(PAGE)
    assert "Hanging day was 14 May 2026." in says(answer)
    assert "already past" not in says(answer)

"""The sweeps: what fails in one step, or for one row, keeps nothing else waiting."""

from datetime import timedelta

from django.utils import timezone

from campaign import tasks
from campaign.models import LinkRequest, OutboxMessage, RecipeLine, Show, StaircaseRun, Studio
from campaign.services import links, plans
from campaign.services.rows import each
from tests.builders import NOW, make_show, place


def test_mail_goes_out_although_another_step_fails(show, settings, tmp_path):
    settings.EMAIL_FILE_PATH = str(tmp_path)
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    pledge = place(show)
    links.ask_for_link(show=show, email=pledge.email, now=NOW)
    Studio.objects.all().delete()  # no link can be written now
    OutboxMessage.objects.update(due_at=timezone.now())
    said = tasks.sweep()
    assert "links sent 0" in said
    assert "mails sent 1" in said
    assert LinkRequest.objects.count() == 1


def test_a_row_that_fails_keeps_no_other_from_its_turn():
    assert each(lambda number: 12 // number, [1, 0, 2]) == 18


def test_a_staircase_that_cannot_be_built_keeps_no_other_waiting(show):
    make_show(code="second")
    StaircaseRun.objects.all().delete()
    RecipeLine.objects.filter(finish__show=show).update(basis="by the moon")
    assert plans.refresh_stale_staircases(now=NOW) == 1
    assert [run.show.code for run in StaircaseRun.objects.all()] == ["second"]


def test_a_staircase_that_failed_is_left_alone_until_its_lease_ends(show):
    StaircaseRun.objects.all().delete()
    lines = RecipeLine.objects.filter(finish__show=show)
    bases = {line.pk: line.basis for line in lines}
    lines.update(basis="by the moon")
    assert plans.refresh_stale_staircases(now=NOW) == 0
    for key, basis in bases.items():
        RecipeLine.objects.filter(pk=key).update(basis=basis)
    assert plans.refresh_stale_staircases(now=NOW + timedelta(seconds=2)) == 0
    assert plans.refresh_stale_staircases(now=NOW + plans.LEASE + timedelta(seconds=1)) == 1
    assert Show.objects.get().rebuild_until_at is None


def test_a_staircase_that_somebody_works_out_is_not_worked_out_twice(show):
    StaircaseRun.objects.all().delete()
    Show.objects.update(rebuild_until_at=NOW + timedelta(seconds=30))
    assert plans.refresh_stale_staircases(now=NOW) == 0
    assert plans.refresh_stale_staircases(now=NOW + timedelta(seconds=31)) == 1
    assert tasks.rebuild() == "rebuilt 0"

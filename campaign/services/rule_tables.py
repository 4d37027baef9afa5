"""Own worths, pairs of works, closed days and deadlines of a show folder; what has no file is left as it is."""

from collections.abc import Iterator

from campaign.models import ClosedDay, Deadline, Finish, OptionWorth, Show, Size, Work, WorkPair
from campaign.services.matching import Match, TableChange, match_rows, settle
from campaign.showfolder.rows import ShowFolder


def import_rules(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    What must be so, after walls, works and finishes are there.

    Writes: OptionWorth, WorkPair, ClosedDay, Deadline.
    """
    yield from settle(*_work_rules(show=show, folder=folder), *_days(show=show, folder=folder))


def _work_rules(*, show: Show, folder: ShowFolder) -> Iterator[Match]:
    works = {work.code: work.pk for work in Work.objects.filter(show=show)}
    if folder.worths is not None:
        sizes = {
            (size.work_id, size.width_mm, size.height_mm): size.pk for size in Size.objects.filter(work__show=show)
        }
        finishes = {finish.code: finish.pk for finish in Finish.objects.filter(show=show)}
        yield match_rows(
            table="own worths",
            present=OptionWorth.objects.filter(work__show=show),
            wanted=[
                {
                    "work_id": works[row.work_code],
                    "size_id": sizes[works[row.work_code], row.width_mm, row.height_mm],
                    "finish_id": finishes[row.finish_code],
                    "worth": row.worth,
                }
                for row in folder.worths
            ],
            key=["work_id", "size_id", "finish_id"],
        )
    if folder.pairs is not None:
        yield match_rows(
            table="pairs of works",
            present=WorkPair.objects.filter(show=show),
            wanted=[
                {"show": show, "kind": row.kind, "one_id": works[row.one_code], "other_id": works[row.other_code]}
                for row in folder.pairs
            ],
            key=["kind", "one_id", "other_id"],
        )


def _days(*, show: Show, folder: ShowFolder) -> Iterator[Match]:
    if folder.closed_days is not None:
        yield match_rows(
            table="closed days",
            present=ClosedDay.objects.filter(show=show),
            wanted=[{"show": show, "day_on": row.day_on, "note": row.note} for row in folder.closed_days],
            key=["day_on"],
        )
    if folder.deadlines is not None:
        fields = ("name", "on", "kind", "money_minor", "note", "is_done")
        yield match_rows(
            table="deadlines",
            present=Deadline.objects.filter(show=show),
            wanted=[{"show": show, **{name: getattr(row, name) for name in fields}} for row in folder.deadlines],
            key=["name"],
        )

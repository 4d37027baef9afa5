"""The only way from a request to a row: by signed-in person, by random code or by signed private link."""

import uuid
from typing import Any

from django.core import signing
from django.http import Http404
from django_otp import user_has_device

from campaign.errors import LinkNeeded
from campaign.models import (
    BankLine,
    BankStatement,
    BankUpload,
    CashEntry,
    ChangeRequest,
    Deadline,
    Edition,
    Finish,
    Funder,
    Job,
    OutboxMessage,
    Paper,
    Picture,
    Pledge,
    PriceItem,
    Refund,
    Show,
    Studio,
    Update,
    Waiter,
    Wall,
    Work,
)

PLEDGE_SALT = "pledge.manage.v1"
VISIT_SALT = "pledge.visit.v1"
NEWS_SALT = "news.unsubscribe.v1"
LIST_NEWS_SALT = "news.unsubscribe.waiter.v1"
CALENDAR_SALT = "calendar.v1"
PLACE_SALT = "waiter.manage.v1"
PLACE_VISIT_SALT = "waiter.visit.v1"
VISIT_SECONDS = 30 * 60
HELPERS = "helpers"  # the group of accounts that print and pack, and see no money
PARCEL_PAPERS = "papers"  # the kind of job that makes slips and labels


def is_artist(user: Any) -> bool:
    """Signed in as the artist, with the second factor where one is set up."""
    return bool(_is_let_in(user) and user.is_staff)


def is_helper(user: Any) -> bool:
    """Signed in as somebody who may print and pack: a helper, or the artist."""
    return bool(_is_let_in(user) and (user.is_staff or user.groups.filter(name=HELPERS).exists()))


def _is_let_in(user: Any) -> bool:
    # A session from before the second factor was set up does not count any more. Asked once a request: `user` lasts
    # as long as that.
    if not hasattr(user, "is_let_in"):
        is_known = user.is_authenticated and user.is_active
        user.is_let_in = is_known and (user.is_verified() or not user_has_device(user))
    return bool(user.is_let_in)


def get_show_for_artist(user: Any, code: str) -> Show:
    """The show, for a signed-in artist. Raises: Http404 for anyone else, as if it did not exist."""
    if not is_artist(user):
        raise Http404
    show: Show = _get(Show, code=code)
    return show


def get_show_for_helper(user: Any, code: str) -> Show:
    """The show, for a helper or the artist. Raises: Http404 for anyone else, as if it did not exist."""
    if not is_helper(user):
        raise Http404
    show: Show = _get(Show, code=code)
    return show


def get_show_for_visitor(code: str, *, with_plan: bool = False) -> Show:
    """
    A show that was published. Raises: Http404 while it is being prepared.

    `with_plan` reads along the plan that a closed show was fixed to.
    """
    shows = Show.objects.select_related("fixed_plan__run") if with_plan else Show.objects
    show: Show | None = shows.exclude(state=Show.State.DRAFT).filter(code=code).first()
    if show is None:
        raise Http404
    return show


def list_shows_for_helper(user: Any) -> list[Show]:
    """All shows, newest first, for a helper or the artist. Raises: Http404 for anyone else."""
    if not is_helper(user):
        raise Http404
    return list(Show.objects.all())


def list_shows_for_artist(user: Any) -> list[Show]:
    """All shows, newest first, for a signed-in artist. Raises: Http404 for anyone else."""
    if not is_artist(user):
        raise Http404
    return list(Show.objects.all())


def find_public_show() -> Show | None:
    """The published show with the latest opening: what the site's front door leads to."""
    return Show.objects.exclude(state=Show.State.DRAFT).first()


def get_studio() -> Studio:
    """The studio's one row. Raises: Http404 on an empty installation."""
    studio: Studio = _get(Studio, pk=1)
    return studio


def find_studio() -> Studio | None:
    """The studio's one row; None on an empty installation."""
    return Studio.objects.filter(pk=1).first()


def get_wall(*, show: Show, code: str) -> Wall:
    """A wall of `show`."""
    wall: Wall = _get(Wall, show=show, code=code)
    return wall


def get_work(*, show: Show, code: str) -> Work:
    """A work of `show`."""
    work: Work = _get(Work, show=show, code=code)
    return work


def get_finish(*, show: Show, code: str) -> Finish:
    """A finish of `show`."""
    finish: Finish = _get(Finish, show=show, code=code)
    return finish


def get_price_item(*, show: Show, code: str) -> PriceItem:
    """A price book entry of `show`."""
    item: PriceItem = _get(PriceItem, show=show, code=code)
    return item


def get_edition(*, show: Show, code: str) -> Edition:
    """An edition of `show`."""
    edition: Edition = _get(Edition, show=show, code=code)
    return edition


def get_pledge(*, show: Show, code: str) -> Pledge:
    """A pledge to `show`."""
    pledge: Pledge = _get(Pledge, show=show, code=code)
    return pledge


def get_change_request(*, show: Show, key: uuid.UUID) -> ChangeRequest:
    """What a backer of `show` asked for."""
    asked: ChangeRequest = _get(ChangeRequest, pledge__show=show, request_key=key)
    return asked


def get_waiter(*, show: Show, code: str) -> Waiter:
    """A place in a waiting list of `show`."""
    waiter: Waiter = _get(Waiter, edition__show=show, code=code)
    return waiter


def get_job(*, show: Show, code: str) -> Job:
    """A job of `show`."""
    job: Job = _get(Job, show=show, code=code)
    return job


def get_paper(*, show: Show, code: str) -> Paper:
    """A paper of `show`."""
    paper: Paper = _get(Paper, job__show=show, code=code)
    return paper


def get_parcel_paper(*, show: Show, code: str) -> Paper:
    """A packing slip or label of `show`; what a helper may open."""
    paper: Paper = _get(Paper, job__show=show, job__kind=PARCEL_PAPERS, code=code)
    return paper


def get_update(*, show: Show, code: str) -> Update:
    """News of `show`, published or not."""
    update: Update = _get(Update, show=show, code=code)
    return update


def get_cash_entry(*, show: Show, key: str) -> CashEntry:
    """A line of the cash book of `show`, by the key that names its act."""
    entry: CashEntry = _get(CashEntry, show=show, key=key)
    return entry


def get_bank_line(*, show: Show, code: str) -> BankLine:
    """A line of a bank statement that was read in for `show`."""
    line: BankLine = _get(BankLine, statement__show=show, code=code)
    return line


def get_bank_statement(*, show: Show, code: str) -> BankStatement:
    """A bank statement that was read in for `show`."""
    statement: BankStatement = _get(BankStatement, show=show, code=code)
    return statement


def get_bank_upload(*, show: Show, code: str) -> BankUpload:
    """A file of the bank that waits for what its columns mean."""
    upload: BankUpload = _get(BankUpload, show=show, code=code)
    return upload


def get_refund(*, show: Show, key: str) -> Refund:
    """A sum that goes back to a backer of `show`."""
    refund: Refund = _get(Refund, pledge__show=show, key=key)
    return refund


def get_message(*, show: Show, uid: uuid.UUID) -> OutboxMessage:
    """A mail of `show`."""
    message: OutboxMessage = _get(OutboxMessage, show=show, uid=uid)
    return message


def get_deadline(*, show: Show, uid: uuid.UUID) -> Deadline:
    """A deadline of `show`."""
    deadline: Deadline = _get(Deadline, show=show, uid=uid)
    return deadline


def get_funder(*, show: Show, code: str) -> Funder:
    """A sponsor or grant of `show`."""
    funder: Funder = _get(Funder, show=show, code=code)
    return funder


def get_news(*, show: Show, code: str) -> Update:
    """Published news of `show`. Raises: Http404 while it is being written, and for news that went by mail only."""
    update: Update = _get(Update, show=show, code=code, published_at__isnull=False, is_on_page=True)
    return update


def get_picture_file(sha256: str, *, is_small: bool) -> bytes:
    """The WEBP file of a picture, or its thumbnail, without loading the other one. Raises: Http404."""
    column = "thumbnail_webp" if is_small else "webp"
    file = Picture.objects.filter(sha256=sha256).values_list(column, flat=True).first()
    if file is None:
        raise Http404
    return bytes(file)


def find_pledge_by_request_key(request_key: uuid.UUID) -> Pledge | None:
    """The pledge that a submit with this key has made, if it has."""
    made = Pledge.objects.filter(request_key=request_key)
    return made.get() if made.exists() else None  # nearly always there is none, and to ask for less costs less


def make_pledge_token(pledge: Pledge) -> str:
    """The signed part of a pledge's private link; raising the pledge's link_version makes it useless."""
    return signing.TimestampSigner(salt=PLEDGE_SALT).sign_object({"p": pledge.code, "v": pledge.link_version})


def get_pledge_by_token(token: str) -> Pledge:
    """The pledge of a private link. Raises: Http404 for a forged, foreign or withdrawn one."""
    data = _unsigned(token, salt=PLEDGE_SALT)
    pledge: Pledge = _get(Pledge, code=data["p"], link_version=data["v"])
    return pledge


def make_visit(pledge: Pledge) -> str:
    """What the cookie of an opened private link holds: the pledge, signed with the moment."""
    return signing.TimestampSigner(salt=VISIT_SALT).sign_object({"p": pledge.code, "v": pledge.link_version})


def get_pledge_of_visit(*, code: str, visit: str) -> Pledge:
    """The pledge `code`, if the cookie `visit` opened it in the last half hour. Raises: LinkNeeded otherwise."""
    try:
        data = signing.TimestampSigner(salt=VISIT_SALT).unsign_object(visit, max_age=VISIT_SECONDS)
    except signing.BadSignature as error:
        raise LinkNeeded from error
    if data["p"] != code:
        raise LinkNeeded
    pledge = Pledge.objects.select_related("show").filter(code=code, link_version=data["v"]).first()
    if pledge is None:
        raise LinkNeeded
    return pledge


def make_news_token(pledge: Pledge) -> str:
    """The signed part of an unsubscribe link; it names a pledge of the person, so no address stands in the URL."""
    return signing.TimestampSigner(salt=NEWS_SALT).sign_object({"p": pledge.code})


def get_pledge_by_news_token(token: str) -> Pledge:
    """The pledge an unsubscribe link names. Raises: Http404 for a forged one."""
    data = _unsigned(token, salt=NEWS_SALT)
    pledge: Pledge = _get(Pledge, code=data["p"])
    return pledge


def make_list_news_token(waiter: Waiter) -> str:
    """The same for somebody on a waiting list, under a salt of its own: neither link opens what the other does."""
    return signing.TimestampSigner(salt=LIST_NEWS_SALT).sign_object({"w": waiter.code})


def get_waiter_by_news_token(token: str) -> Waiter:
    """The place on a waiting list that an unsubscribe link names. Raises: Http404 for a forged one."""
    data = _unsigned(token, salt=LIST_NEWS_SALT)
    waiter: Waiter = _get(Waiter, code=data["w"])
    return waiter


def make_place_token(waiter: Waiter) -> str:
    """The signed part of the private link to a place in a waiting list; removing the person makes it useless."""
    return signing.TimestampSigner(salt=PLACE_SALT).sign_object({"w": waiter.code})


def get_waiter_by_token(token: str) -> Waiter:
    """The waiter of a private link. Raises: Http404 for a forged one, and once the person was removed."""
    data = _unsigned(token, salt=PLACE_SALT)
    waiter: Waiter = _get(Waiter, code=data["w"])
    if not waiter.email:
        raise Http404
    return waiter


def make_place_visit(waiter: Waiter) -> str:
    """What the cookie of an opened link to a place holds: the place, signed with the moment."""
    return signing.TimestampSigner(salt=PLACE_VISIT_SALT).sign_object({"w": waiter.code})


def get_waiter_of_visit(*, code: str, visit: str) -> Waiter:
    """The place `code`, if the cookie `visit` opened it in the last half hour. Raises: LinkNeeded otherwise."""
    try:
        data = signing.TimestampSigner(salt=PLACE_VISIT_SALT).unsign_object(visit, max_age=VISIT_SECONDS)
    except signing.BadSignature as error:
        raise LinkNeeded from error
    waiter = Waiter.objects.select_related("edition__show").exclude(email="").filter(code=data["w"]).first()
    if data["w"] != code or waiter is None:
        raise LinkNeeded
    return waiter


def make_calendar_token(show: Show) -> str:
    """The signed part of the calendar's secret link; raising the show's calendar_version makes it useless."""
    return signing.Signer(salt=CALENDAR_SALT).sign_object({"s": show.code, "v": show.calendar_version})


def get_show_by_calendar_token(token: str) -> Show:
    """The show of a calendar link. Raises: Http404 for a forged or withdrawn one."""
    try:
        data = signing.Signer(salt=CALENDAR_SALT).unsign_object(token)
    except signing.BadSignature as error:
        raise Http404 from error
    show: Show = _get(Show, code=data["s"], calendar_version=data["v"])
    return show


def _unsigned(token: str, *, salt: str) -> Any:
    """What a link signed under `salt` says. Raises: Http404 for a forged one, and for one of another purpose."""
    try:
        return signing.TimestampSigner(salt=salt).unsign_object(token)
    except signing.BadSignature as error:
        raise Http404 from error


def _get(model: Any, **lookup: object) -> Any:
    if any("\0" in value for value in lookup.values() if isinstance(value, str)):
        raise Http404  # PostgreSQL refuses the question itself
    try:
        return model.objects.get(**lookup)
    except model.DoesNotExist as error:
        raise Http404 from error

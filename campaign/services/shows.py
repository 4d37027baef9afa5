"""From a show folder to a show's rows: all of them or none, and nothing that has not changed."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from campaign import pictures
from campaign.errors import NotInThisState, NotReady
from campaign.models import Picture, Show, Studio
from campaign.queries.minimum import is_minimum_fixed
from campaign.services.cost_tables import import_gifts, import_price_book
from campaign.services.editions import import_editions
from campaign.services.matching import TableChange, update_row
from campaign.services.minimum import FIXED
from campaign.services.plans import touch_inputs
from campaign.services.rule_tables import import_rules
from campaign.services.show_tables import import_promises, import_walls, import_works
from campaign.showfolder.rows import SettingsRow, ShowFolder, WorkRow

STUDIO_FIELDS = {
    "artist_name": "artist", "email": "email", "contact_name": "contact", "address": "studio_address", "iban": "iban",
    "bic": "bic", "account_holder": "account_holder", "cheque_payee": "cheque_payee", "cash_note": "cash_note",
}  # fmt: skip
SHOW_FIELDS = (
    "title", "statement", "venue_name", "venue_address", "country", "time_zone", "currency", "locale", "length_unit",
    "hang_on", "opening_at", "last_day_on", "opens_at", "closes_at", "posting_by_on", "cancel_until_on", "hold_days",
    "reminder_days", "offer_hours", "commission_bp", "set_aside_bp", "contingency_bp", "min_gap_mm", "centre_mm",
    "printer_seconds", "printer_seconds_per_m2", "series_share_finish", "most_finishes", "old_prices_before_on",
    "two_hooks_from_mm", "two_hooks_from_g", "hook_rating_g", "hook_margin", "print_hours_milli", "proof_days",
    "drying_hours", "payout_days", "material_days", "fee_bp", "fee_fixed_minor", "sale_rounding_minor",
    "minimum_minor", "below_minimum",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import did: the show, whether it is new, and the tables that changed."""

    show: Show
    is_new: bool
    changes: tuple[TableChange, ...]

    @property
    def is_unchanged(self) -> bool:
        """The folder said what the rows said already."""
        return not self.changes


def import_show(*, folder: ShowFolder, now: datetime) -> ImportReport:
    """
    Make a show what its folder says; rows are recognised by their codes, and only what differs is written.

    Pictures are decoded before the transaction, which would otherwise keep every order waiting.
    Writes: Studio, Show, Wall, BlockedArea, PriceItem, PriceStep, SizePrice, Finish, RecipeLine, ShowCost, Picture,
        Work, Size, GiftInKind, OptionWorth, WorkPair, ClosedDay, Deadline, Edition, Copy, Level, PostageRate,
        TaxRate.
    Raises: NotReady for a folder with refusals, and where it would break what backers agreed to;
        NotInThisState for a change to a show whose campaign has closed.
    Repeat: the same folder again changes nothing.
    """
    if not folder.ok or folder.settings is None or not folder.editions:
        raise NotReady("The folder has rows that cannot be read; nothing was stored.")
    made = {row.code: _read_picture(row) for row in folder.works if row.picture}
    return _import(folder=folder, settings=folder.settings, made=made, now=now)


@transaction.atomic(durable=True)
def _import(
    *, folder: ShowFolder, settings: SettingsRow, made: dict[str, dict[str, Any]], now: datetime
) -> ImportReport:
    show, own_changes = _match_show(settings)
    changes = [
        *own_changes,
        *import_walls(show=show, folder=folder),
        *import_price_book(show=show, folder=folder),
        *import_works(show=show, folder=folder, pictures={code: _keep(fields) for code, fields in made.items()}),
        *import_gifts(show=show, folder=folder),
        *import_rules(show=show, folder=folder),
        *import_editions(show=show, rows=folder.editions),
        *import_promises(show=show, folder=folder),
    ]
    real = tuple(change for change in changes if change.added or change.changed or change.removed)
    if real and show.state not in (Show.State.DRAFT, Show.State.OPEN):
        raise NotInThisState(what="The campaign", state=show.get_state_display())
    is_new = any(change.table == "show" and change.added for change in real)
    if real and not is_new:
        touch_inputs(show)
    return ImportReport(show=show, is_new=is_new, changes=real)


def _match_show(settings: SettingsRow) -> tuple[Show, list[TableChange]]:
    wish = {name: getattr(settings, name) for name in SHOW_FIELDS} | {"cautions": list(settings.cautions)}
    studio = _match_studio(settings)
    show = Show.objects.select_for_update().filter(code=settings.code).first()
    if show is None:
        return Show.objects.create(code=settings.code, **wish), [studio, TableChange("show", added=1)]
    has_money = show.pledges.exists() or show.cash_entries.exists()
    if has_money and show.currency != settings.currency:
        raise NotReady(
            f"settings, currency: found {settings.currency}, but orders or cash entries are in {show.currency}; "
            f"only {show.currency} would do."
        )
    before, after = (show.minimum_minor, show.below_minimum), (settings.minimum_minor, settings.below_minimum)
    if before != after and is_minimum_fixed(show):
        raise NotReady(f"settings, minimum: {FIXED}")
    return show, [studio, TableChange("show", changed=int(update_row(show, wish)))]


def _match_studio(settings: SettingsRow) -> TableChange:
    wish = {field: getattr(settings, name) for field, name in STUDIO_FIELDS.items()}
    studio = Studio.objects.filter(pk=1).first()
    if studio is None:
        Studio.objects.create(pk=1, **wish)
        return TableChange("studio", added=1)
    return TableChange("studio", changed=int(update_row(studio, wish)))


def _read_picture(row: WorkRow) -> dict[str, Any]:
    """The picture's fields; of a file that is known already only its digest, so that it is not decoded again."""
    assert row.picture is not None, "asked for works with a file only"
    try:
        data = row.picture.read_bytes()
        source_sha256 = pictures.digest(data)
        if Picture.objects.filter(source_sha256=source_sha256).exists():
            return {"source_sha256": source_sha256}
        large = pictures.read_picture(data)
    except (OSError, pictures.PictureRefused) as fault:  # the file changed since the folder was read
        raise NotReady(f"works, {row.code}, column picture: {row.picture.name} cannot be read any more.") from fault
    return {
        "source_sha256": source_sha256,
        "sha256": large.sha256,
        "webp": large.webp,
        "thumbnail_webp": pictures.thumbnail(large).webp,
        "width_px": large.width_px,
        "height_px": large.height_px,
    }


def _keep(fields: dict[str, Any]) -> Picture:
    known = Picture.objects.filter(source_sha256=fields["source_sha256"]).first()
    # Two files that differ in their metadata alone give one picture.
    known = known or Picture.objects.filter(sha256=fields.get("sha256", "")).first()
    return known or Picture.objects.create(**fields)

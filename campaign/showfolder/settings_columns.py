"""The keys of the settings file, with every spelling that is understood and what reads their values."""

import re
import unicodedata
import zoneinfo
from collections.abc import Mapping
from datetime import time
from decimal import Decimal

from babel import Locale, UnknownLocaleError

from campaign.measures.errors import MeasureError
from campaign.measures.limits import LONGEST_SECONDS, MOST_FIXED_MINOR
from campaign.measures.money import currency_digits
from campaign.measures.numbers import parse_decimal
from campaign.references import PaymentDetailError, check_iban
from campaign.showfolder.countries import EU, EVERYWHERE, country
from campaign.showfolder.fields import (
    Context,
    FieldRefused,
    choice,
    count,
    day,
    flag,
    length,
    money,
    percent,
    prose,
    text,
    weight,
)
from campaign.showfolder.headings import Column, nearest
from campaign.showfolder.moments import moment

_CURRENCY_WORDS = {"€": "EUR", "EURO": "EUR", "EUROS": "EUR", "£": "GBP"}
_LENGTH_UNITS = {
    "mm": "mm", "millimetres": "mm", "cm": "cm", "centimetres": "cm", "in": "in", "inch": "in", "inches": "in",
    '"': "in", "metric": "cm", "imperial": "in",
}  # fmt: skip

_BELOW = {
    "smaller": "scale_down", "make smaller": "scale_down", "scale down": "scale_down", "scaled down": "scale_down",
    "give back": "give_back", "all back": "give_back", "money back": "give_back", "refund": "give_back",
}  # fmt: skip


def slug(cell: str, _: Context) -> str:
    """The show's short name in addresses: small letters without accents, digits and hyphens."""
    made = slug_of(cell)
    if not made:
        raise FieldRefused("Write a short name of letters and digits, such as low-water.")
    return made


def slug_of(title: str) -> str:
    """
    A title as a slug of at most 40 characters; "" when it has no Latin letter or digit.

    >>> slug_of("Low Water, Österby")
    'low-water-osterby'
    """
    letters = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().casefold()
    return "-".join(re.findall(r"[a-z0-9]+", letters))[:40].strip("-")


def currency(cell: str, _: Context) -> str:
    """An ISO 4217 code, or € or £."""
    found = _CURRENCY_WORDS.get(cell.upper(), cell.upper())
    try:
        currency_digits(found)
    except MeasureError as fault:
        raise FieldRefused("Write a three-letter currency code such as EUR, GBP or USD.") from fault
    return found


def home_country(cell: str, _: Context) -> str:
    """One country, as a two-letter code."""
    found = country(cell)
    if found in {EU, EVERYWHERE}:
        raise FieldRefused("Write the one country you post from, such as DE.")
    return found


def time_zone(cell: str, _: Context) -> str:
    """An IANA name such as Europe/Berlin."""
    return find_time_zone(cell)


def find_time_zone(text: str) -> str:
    """The same without a table around it. Raises: FieldRefused, naming a zone that is spelled alike."""
    name = text.replace(" ", "_")
    if re.fullmatch(r"[A-Za-z]+(?:/[A-Za-z0-9_+-]+)*", name):
        try:
            return zoneinfo.ZoneInfo(name).key
        except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
            pass  # not spelled as the files are; look through the whole list, which takes a moment
    known = sorted(zoneinfo.available_timezones())
    found = next((zone for zone in known if zone.casefold() == name.casefold()), None)
    if found is None:
        close = nearest(name, known) or nearest(f"Europe/{name}", known) or "Europe/Berlin"
        raise FieldRefused(f"This is no time zone; write its region and city, such as {close}.")
    return found


def locale(cell: str, _: Context) -> str:
    """A language, with a country if need be: en, de, en_GB."""
    try:
        return str(Locale.parse(cell.replace("-", "_")))
    except (UnknownLocaleError, ValueError, TypeError) as fault:
        raise FieldRefused("Write a language code such as en, de or en_GB.") from fault


def email(cell: str, _: Context) -> str:
    """An e-mail address by its outer shape; whether it works only a mail can tell."""
    if not re.fullmatch(r"[^@\s<>]+@[^@\s<>.]+(\.[^@\s<>.]+)+", cell) or len(cell) > 254:
        raise FieldRefused("Write one e-mail address, such as studio@example.org.")
    return cell


def iban(cell: str, _: Context) -> str:
    """An IBAN with right check digits, without spaces."""
    try:
        return check_iban(cell)
    except PaymentDetailError as fault:
        raise FieldRefused(str(fault)) from fault


def bic(cell: str, _: Context) -> str:
    """A bank's code of 8 or 11 characters."""
    compact = re.sub(r"\s", "", cell).upper()
    if not re.fullmatch(r"[A-Z]{6}[A-Z0-9]{2}(?:[A-Z0-9]{3})?", compact):
        raise FieldRefused("A BIC has 8 or 11 letters and digits; copy it from a bank statement.")
    return compact


def hours(cell: str, _: Context) -> int:
    """Hours as whole seconds."""
    seconds = parse_decimal(re.sub(r" ?(h|hrs?|hours?)\.?$", "", " ".join(cell.split()), flags=re.IGNORECASE)) * 3600
    if not 0 <= seconds <= LONGEST_SECONDS:
        raise FieldRefused("Write the printer's hours before hanging day, such as 18.")
    return round(seconds)


def speed(cell: str, _: Context) -> int:
    """Square metres an hour, kept as whole seconds for a square metre."""
    number = re.sub(r" ?(m2|m²|sqm|qm)? ?(/|per|an)? ?(h|hour)?\.?$", "", " ".join(cell.split()), flags=re.IGNORECASE)
    rate = parse_decimal(number)
    if not Decimal("0.001") <= rate <= 1000:
        raise FieldRefused("Write how many square metres the printer prints in an hour, such as 2.5.")
    return round(3600 / rate)


def hours_a_day(cell: str, _: Context) -> int:
    """Hours of printing on a print day, as thousandths."""
    number = re.sub(r" ?(h|hrs?|hours?)\.?$", "", " ".join(cell.split()), flags=re.IGNORECASE)
    milli = parse_decimal(number) * 1000
    if milli.denominator != 1 or not 250 <= milli <= 24_000:
        raise FieldRefused("Write the hours the printer runs on a print day, from 0.25 to the 24 of a day.")
    return int(milli)


def lines(cell: str, context: Context) -> str:
    """An address: several lines, with new lines, semicolons or bars between them in one cell."""
    limited = prose(300)(cell, context)
    parts = (part.strip() for part in re.split(r"[\n;|]", str(limited)))
    return "\n".join(part for part in parts if part)


def cautions(cell: str, context: Context) -> tuple[str, ...]:
    """Sentences, a line each."""
    words = str(prose(4000)(cell, context))
    return tuple(line.strip() for line in words.split("\n") if line.strip())


# Read before the others, because they say how the others and the tables are to be read.
FIRST = (
    Column("currency", currency, ("money", "currency code")),
    Column("time zone", time_zone, ("timezone", "zone", "tz")),
    Column("length unit", choice(_LENGTH_UNITS, example="mm, cm or in"), ("units", "unit", "lengths in", "measure"),
           False, ""),
)  # fmt: skip

REST = (
    Column("title", text(160), ("show", "show title", "name of show", "exhibition")),
    Column("code", slug, ("show code", "slug", "short name", "address", "web name"), False, ""),
    Column("artist", text(120), ("artist name", "by", "show artist")),
    Column("contact", text(120), ("contact name", "artist contact", "public contact", "studio contact"), False, ""),
    Column("email", email, ("e mail", "mail", "contact email", "contact e mail", "studio email", "studio e mail")),
    Column("statement", prose(8000), ("about", "text", "artist statement", "show statement"), False, ""),
    Column("cautions", cautions, ("caution", "notes", "note", "warnings"), False, ()),
    Column("language", locale, ("locale", "lang"), False, "en"),
    Column("country", home_country, ("home country", "posting from", "venue country", "studio country")),
    Column("venue name", text(160), ("venue", "gallery", "room", "place", "where")),
    Column("venue address", lines, ("gallery address", "place address"), False, ""),
    Column("studio address", lines, ("sender", "sender address", "return address", "my address")),
    Column("hanging date", day, ("hang on", "hanging", "hang date", "dates hanging", "hanging day", "install")),
    Column("opening", moment(without_time=None), ("opening at", "opening night", "show opens", "vernissage",
                                                  "private view", "opening date")),
    Column("last day", day, ("show ends", "closing day", "until", "show until", "ends", "take down")),
    Column("campaign opens", moment(without_time=time(0, 0)), ("opens", "orders open", "pre order opens", "launch")),
    Column("campaign closes", moment(without_time=time(23, 59)), ("closes", "orders close", "pre order closes",
                                                                   "deadline", "campaign ends")),
    Column("cancel until", day, ("cancellation until", "cancel by", "cancel cut off", "last day to cancel")),
    Column("posting by", day, ("post by", "posted by", "posting promised by", "ships by", "delivery by")),
    Column("hold days", count(1, 365), ("hold", "hold for days", "days held"), False, 10),
    Column("reminder days", count(0, 364), ("reminder", "remind days before", "reminder days before"), False, 3),
    Column("offer hours", count(1, 720), ("offers stand for hours", "hours an offer stands"), False, 48),
    Column("minimum", money(allow_zero=False), ("least wall money", "minimum wall money", "funding minimum"), False),
    Column("below minimum", choice(_BELOW, example="smaller, or give back"),
           ("if the minimum is missed", "if missed", "minimum missed"), False, "scale_down"),
    Column("commission", percent, ("gallery commission", "gallery share", "venue commission"), False, 0),
    Column("set aside", percent, ("tax", "tax set aside", "tax and fees", "fees and tax", "kept for tax"), False, 0),
    Column("payment fee", percent, ("processor fee", "fee of a payment", "card fee"), False, 0),
    Column("payment fee fixed", money(most_minor=MOST_FIXED_MINOR), ("fixed fee", "fee for each payment"), False, 0),
    Column("wall prices rounded to", money(allow_zero=False, most_minor=MOST_FIXED_MINOR),
           ("round wall prices to", "sale prices rounded to"), False, 100),
    Column("contingency", percent, ("reserve", "kept back", "buffer"), False, 0),
    Column("minimum gap", length(allow_zero=True), ("gap", "min gap", "smallest gap", "space between works"), False,
           150),
    Column("centre line", length(), ("center line", "centre", "center", "eye line", "eye level", "centre height",
                                     "center height"), False, 1450),
    Column("printer hours", hours, ("printing hours", "print hours", "printer time", "hours of printing"), False, 0),
    Column("printer speed", speed, ("speed", "m2 per hour", "square metres per hour", "printer m2 per hour"), False,
           1800),
    Column("series share finish", flag, ("series share a finish", "a series in one finish", "series in one finish"),
           False, True),
    Column("most finishes", count(1, 99), ("max finishes", "finishes at most", "at most finishes"), False),
    Column("old prices before", day, ("prices old before", "prices older than", "prices asked before"), False),
    Column("two hooks from", length(), ("two hooks from width", "two hooks width"), False, 400),
    Column("two hooks from weight", weight, ("two hooks weight",), False, 4500),
    Column("hook rating", weight, ("hook load", "hook rated", "one hook holds"), False, 0),
    Column("hook margin", count(1, 20), ("margin of hooks", "safety margin"), False, 4),
    Column("print hours a day", hours_a_day, ("hours a day", "hours per day", "printing a day", "print hours per day"),
           False, 4000),
    Column("proof days", count(0, 60), ("days of proofs", "proofs"), False, 1),
    Column("drying hours", count(0, 1000), ("drying", "drying time"), False, 24),
    Column("payout days", count(0, 90), ("pay out days", "days until paid out"), False, 0),
    Column("material days", count(0, 120), ("days for materials", "delivery days"), False, 5),
    Column("iban", iban, ("account", "bank account", "account number"), False, ""),
    Column("bic", bic, ("swift", "bank code"), False, ""),
    Column("account holder", text(70), ("holder", "account name", "in the name of"), False, ""),
    Column("cheque payee", text(120), ("cheque to", "cheques to", "check payee", "checks to", "payee", "cheque"),
           False, ""),
    Column("cash note", text(300), ("cash", "pay cash"), False, ""),
)  # fmt: skip

COLUMNS: Mapping[str, Column] = {column.name: column for column in (*FIRST, *REST)}

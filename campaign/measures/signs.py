"""Which currency a sign stands for, so that $ 12 is never booked in a show that counts in euros."""

_DOLLARS = frozenset(
    [
        "USD",
        "AUD",
        "CAD",
        "NZD",
        "HKD",
        "SGD",
        "TWD",
        "MXN",
        "ARS",
        "CLP",
        "COP",
        "BBD",
        "BSD",
        "BMD",
        "BZD",
        "FJD",
        "JMD",
        "XCD",
        "TTD",
        "NAD",
    ]
)
_CROWNS = frozenset(["SEK", "NOK", "DKK", "ISK"])
# What people type and what the locale data prints; several currencies may share one sign.
_SIGNS: dict[str, frozenset[str]] = {
    "€": frozenset({"EUR"}),
    "euro": frozenset({"EUR"}),
    "euros": frozenset({"EUR"}),
    "$": _DOLLARS,
    "£": frozenset(["GBP", "GIP", "FKP", "SHP", "EGP", "SYP", "LBP", "SSP"]),
    "uk£": frozenset({"GBP"}),
    "د.ك": frozenset({"KWD"}),
    "¥": frozenset({"JPY", "CNY"}),
    "円": frozenset({"JPY"}),
    "元": frozenset({"CNY"}),
    "kr": _CROWNS,
    "kr.": _CROWNS,
    "r$": frozenset({"BRL"}),
    "nt$": frozenset({"TWD"}),
    "fr": frozenset({"CHF"}),
    "sfr": frozenset({"CHF"}),
    "zł": frozenset({"PLN"}),
    "kč": frozenset({"CZK"}),
    "ft": frozenset({"HUF"}),
    "lei": frozenset({"RON"}),
    "лв": frozenset({"BGN"}),
    "щ.д": frozenset({"USD"}),
    "₽": frozenset({"RUB"}),
    "₴": frozenset({"UAH"}),
    "₺": frozenset({"TRY"}),
    "₹": frozenset({"INR"}),
    "₩": frozenset({"KRW"}),
    "₪": frozenset({"ILS"}),
    "฿": frozenset({"THB"}),
    "₫": frozenset({"VND"}),
    "₱": frozenset({"PHP"}),
    "₦": frozenset({"NGN"}),
    "r": frozenset({"ZAR"}),
}


def sign_fits(sign: str, currency: str) -> bool:
    """
    True if `sign`, without spaces, is a usual way to write `currency`.

    Notes: letters beside a sign must begin the currency's code (US$, $CA, £GB, JP¥).

    >>> sign_fits("US$", "USD"), sign_fits("US$", "CAD"), sign_fits("$", "EUR")
    (True, False, False)
    """
    plain = sign.casefold().rstrip(".")
    if plain == currency.casefold():
        return True
    if plain in _SIGNS:
        return currency in _SIGNS[plain]
    letters = "".join(character for character in plain if character.isalpha())
    symbol = "".join(character for character in plain if not character.isalpha())
    return bool(letters) and currency.casefold().startswith(letters) and currency in _SIGNS.get(symbol, ())

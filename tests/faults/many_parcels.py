"""
A show with as many parcels to make papers for as arguments say: `python -m tests.faults.many_parcels PARCELS`.

Thirty countries, one or two copies a parcel; the longest address that may be typed is among them. All
through the real services, as far as "printing is over": what follows is a worker's. Addresses are invented: streets
that say so, in postcodes of whole towns.
"""

import os
import sys
from collections.abc import Iterator
from datetime import timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.utils import timezone  # noqa: E402 - needs django.setup()

from campaign.addresses import normalise_address  # noqa: E402
from campaign.models import Copy, Show  # noqa: E402
from campaign.queries.basket import LineWish  # noqa: E402
from campaign.services.campaigns import close_campaign  # noqa: E402
from fulfilment.services.production import end_printing, tick_printed  # noqa: E402
from tests.builders import NOW, make_show, pay, place  # noqa: E402
from tests.seed import migrate  # noqa: E402

# Country, street, town, postcode, region.
PLACES = (
    ("DE", "Musterweg {n}", "Berlin", "10115", ""),
    ("AT", "Beispielgasse {n}", "Wien", "1010", ""),
    ("CH", "Musterstrasse {n}", "Bern", "3000", ""),
    ("FR", "{n} rue de l’Exemple", "Lyon", "69001", ""),
    ("BE", "Voorbeeldstraat {n}", "Gent", "9000", ""),
    ("NL", "Voorbeeldlaan {n}", "Utrecht", "3500 AA", ""),
    ("LU", "{n}, rue de l’Exemple", "Luxembourg", "1009", ""),
    ("IT", "Via dell’Esempio {n}", "Bologna", "40100", "Bologna"),
    ("ES", "Calle del Ejemplo {n}", "Sevilla", "41001", "Sevilla"),
    ("PT", "Rua do Exemplo {n}", "Porto", "4000-001", ""),
    ("DK", "Eksempelvej {n}", "Århus", "8000", ""),
    ("SE", "Exempelgatan {n}", "Göteborg", "411 01", ""),
    ("NO", "Eksempelveien {n}", "Tromsø", "9000", ""),
    ("FI", "Esimerkkikatu {n}", "Jyväskylä", "40100", ""),
    ("IS", "Dæmisögugata {n}", "Reykjavík", "101", ""),
    ("IE", "{n} Sample Street", "Galway", "H91 A000", "Co. Galway"),
    ("GB", "{n} Sample Lane", "London", "SW1A 2AA", ""),
    ("PL", "ul. Przykładowa {n}", "Łódź", "90-001", ""),
    ("CZ", "Příkladná {n}", "Brno", "602 00", ""),
    ("SK", "Príkladná {n}", "Košice", "040 01", ""),
    ("HU", "Példa utca {n}.", "Győr", "9021", ""),
    ("SI", "Vzorčna ulica {n}", "Ljubljana", "1000", ""),
    ("HR", "Primjerna ulica {n}", "Zagreb", "10000", ""),
    ("RO", "Strada Exemplului {n}", "Iași", "700001", "Iași"),
    ("EE", "Näidise tänav {n}", "Tallinn", "10111", ""),
    ("LV", "Parauga iela {n}", "Rīga", "LV-1010", ""),
    ("LT", "Pavyzdžio g. {n}", "Vilnius", "01001", ""),
    ("US", "{n} Sample Street", "Boston", "02101", "MA"),
    ("CA", "{n} Sample Street", "Ottawa", "K1A 0A1", "Ontario"),
    ("AU", "{n} Sample Street", "Hobart", "7000", "TAS"),
)
# All that a field of the form takes, in the widest letters; whole words, and one that nothing can break but the edge.
LONGEST = {
    "company_name": "Gesellschaft zur Förderung der Wandmalerei am Wasser W. Wimmer W. Wagn",
    "street_address": "\n".join(("W" * 70, "M" * 70, ("Wohnung im Hinterhaus " * 4)[:70].strip())),
    "city": "W" * 70,
    "postal_code": "10115",
}
LONGEST_NAME = "Wilhelmina-Magdalena Wammelsmann-Mwangi von und zu Wimmerswald-Mooshain"[:70]


def addresses(count: int) -> Iterator[tuple[str, dict[str, str]]]:
    """A name and an address for each parcel; every hundredth is the longest there is."""
    for number in range(count):
        if number % 100 == 7:
            yield LONGEST_NAME, normalise_address("DE", LONGEST | {"name": LONGEST_NAME})
            continue
        country, street, city, postcode, area = PLACES[number % len(PLACES)]
        typed = {
            "street_address": street.format(n=number + 1),
            "city": city,
            "postal_code": postcode,
            "country_area": area,
        }
        name = f"Person Number {number + 1}"
        yield name, normalise_address(country, typed | {"name": name, "country_area": area})


def main(parcels: int) -> None:
    """Everybody has ordered and paid, everything is printed, a job waits."""
    migrate()
    show = make_show(copies=2 * parcels)
    now = NOW + timedelta(days=30)
    for number, (name, address) in enumerate(addresses(parcels)):
        lines = (LineWish("harbour", 1 + number % 3 // 2),)
        pledge = place(show, name=name, email=f"person{number}@example.org", address=address, lines=lines)
        pay(pledge)
    close_campaign(show=show, now=now)
    edition = show.editions.get()
    copies = Copy.objects.filter(edition=edition, state=Copy.State.SPOKEN_FOR)
    tick_printed(edition=edition, numbers=list(copies.values_list("number", flat=True)), now=now)
    end_printing(show=Show.objects.get(pk=show.pk), now=timezone.now())


if __name__ == "__main__":
    main(int(sys.argv[1]))

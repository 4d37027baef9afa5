"""Invented backers of the demonstration show, its news and its other money. Names and addresses belong to nobody."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from campaign.addresses import normalise_address


@dataclass(frozen=True, slots=True)
class DemonstrationFriend:
    """Somebody else who gets one of the prints; address as in `campaign.addresses`."""

    name: str
    address: Mapping[str, str]

    @property
    def postal_address(self) -> dict[str, str]:
        """The address, checked and in one spelling, without the name."""
        return _without_name(normalise_address(self.address["country_code"], {"name": self.name, **self.address}))


@dataclass(frozen=True, slots=True)
class DemonstrationPledge:
    """
    One order or gift. address: fields as in `campaign.addresses`, empty for a gift without a print.

    copies: all of the large print, of which a friend gets one; cards: of the small one.
    way: transfer, cheque or cash. days_ago: when it was placed; a paid one is paid two days later, today at the latest.
    """

    name: str
    email: str
    copies: int
    gift_minor: int
    way: str
    is_paid: bool
    days_ago: int
    address: Mapping[str, str] = field(default_factory=dict)
    message: str = ""
    wants_updates: bool = True
    is_thanked_by_name: bool = True
    cards: int = 0
    friend: DemonstrationFriend | None = None

    @property
    def postal_address(self) -> dict[str, str]:
        """The address with the name, checked and in one spelling; {} for a gift without a print."""
        return normalise_address(self.country_code, {"name": self.name, **self.address}) if self.address else {}

    @property
    def country_code(self) -> str:
        """ISO 3166-1 alpha-2; "" for a gift without a print."""
        return self.address.get("country_code", "")


@dataclass(frozen=True, slots=True)
class DemonstrationUpdate:
    """News for the backers, in Markdown."""

    title: str
    body: str
    days_ago: int


@dataclass(frozen=True, slots=True)
class DemonstrationMoney:
    """A line of the cash book beside the orders. kind: own, sponsor, grant or cost."""

    kind: str
    amount_minor: int
    text: str
    days_ago: int


def _without_name(address: Mapping[str, str]) -> dict[str, str]:
    return {field: text for field, text in address.items() if field != "name" and text}


def _address(country: str, street: str, city: str, postcode: str, area: str = "") -> dict[str, str]:
    return {
        "country_code": country,
        "street_address": street,
        "city": city,
        "postal_code": postcode,
        "country_area": area,
    }


DEMONSTRATION_PLEDGES = (
    DemonstrationPledge("Hauke Muster", "hauke@example.org", 1, 0, "transfer", True, 11,
                        _address("DE", "Musterdeich 4", "Grauhaven", "99998")),
    DemonstrationPledge("Imke Beispiel", "imke.beispiel@example.org", 2, 0, "transfer", True, 11,
                        _address("DE", "Beispielstraße 12a", "Musterstadt", "12345"),
                        message="One for me, one for the lighthouse keeper.",
                        friend=DemonstrationFriend(
                            "Ocke Platzhalter", _address("DE", "Am Probefeuer 1", "Grauhaven", "99998"))),
    DemonstrationPledge("Oswin Placeholder", "oswin@example.net", 1, 500, "transfer", True, 10,
                        _address("GB", "1 Example Lane", "Sampleton", "EC1Y 8SY")),
    DemonstrationPledge("Solenne Exemple", "solenne@example.org", 1, 0, "transfer", True, 9,
                        _address("FR", "8 rue de l’Exemple", "Modèleville", "75008")),
    DemonstrationPledge("Wessel Voorbeeld", "wessel@example.net", 1, 0, "transfer", True, 9,
                        _address("NL", "Voorbeeldkade 21", "Proefdam", "1234 AB"),
                        message="We saw the second bank from the train. Exactly so."),
    DemonstrationPledge("Posy Sample", "posy.sample@example.org", 2, 1000, "transfer", True, 8,
                        _address("US", "100 Example Street Apt 2", "Springsample", "62701", "Illinois"), cards=1),
    DemonstrationPledge("Gerlinde Probe", "gerlinde@example.org", 1, 0, "cash", True, 7,
                        _address("DE", "Am Probensiel 2", "Grauhaven", "99998"), wants_updates=False),
    DemonstrationPledge("Fintan Sampleby", "fintan@example.net", 1, 0, "transfer", True, 6,
                        _address("IE", "3 Specimen Quay", "Ballysample", "A65 F4E2")),
    DemonstrationPledge("The Thursday Choir", "choir@example.org", 0, 4000, "cash", True, 5,
                        message="For the van. The other half is ours anyway."),
    DemonstrationPledge("Mio Mihon", "mio@example.net", 1, 0, "transfer", True, 4,
                        _address("JP", "1-1 Mihoncho, Mihon-ku", "", "100-8111", "Tokyo"), is_thanked_by_name=False),
    DemonstrationPledge("Aurelie Specimen", "aurelie@example.org", 2, 0, "transfer", False, 4,
                        _address("CA", "10 Sample Street", "Specimen Bay", "K1A 0B1", "Ontario")),
    DemonstrationPledge("Piet Vorlage", "piet.vorlage@example.org", 1, 0, "transfer", False, 3,
                        _address("DE", "Vorlagenweg 33", "Musterstadt", "12345")),
    DemonstrationPledge("Dorothea Dummy", "dorothea@example.net", 2, 500, "cheque", False, 2,
                        _address("GB", "The Old Sample House\n14 Dummy Row", "Specimen-on-Sea", "EC1Y 8SY")),
    DemonstrationPledge("Ragna Entwurf", "ragna@example.org", 1, 0, "transfer", False, 1,
                        _address("DE", "Entwurfgasse 5", "Grauhaven", "99998")),
)  # fmt: skip

DEMONSTRATION_UPDATES = (
    DemonstrationUpdate(
        "The keys are in my pocket",
        """\
The caretaker has handed over the key to the room, and I have **measured everything twice**. The window on the north
wall is ten centimetres wider than the plan says, so the drawing on this page was wrong until this morning. It is right
now.

What I know today:

- the radiator stays warm, so nothing hangs above it;
- the east wall is hollow and gets the light works;
- the first twelve proofs of *Low Water, Evening* are dry.""",
        9,
    ),
    DemonstrationUpdate(
        "Why nothing hangs behind acrylic yet",
        """\
Somebody asked when the frames come. Here is the sum: a window mat behind acrylic costs nearly as much as **two** tray
frames. So until the walls are all but full, the next work in a tray frame beats the first one behind acrylic. I gave
the points for that myself; they stand beside every work, and the drawing follows them to the cent.

If you meant to order and did not: the list closes in three weeks, and after that the block is cleaned.""",
        3,
    ),
)

DEMONSTRATION_MONEY = (
    DemonstrationMoney("own", 10_000, "Own money to begin with", 12),
    DemonstrationMoney("sponsor", 8_000, "Net Loft Tea Room, Grauhaven, for the opening night", 8),
    DemonstrationMoney("cost", 2_650, "Printing the handbills", 7),
)

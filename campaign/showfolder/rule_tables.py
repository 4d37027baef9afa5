"""The tables of a show folder that say what must be so: own worths, pairs of works, days and deadlines."""

from campaign.showfolder.fields import choice, code, count, day, flag, money, size, text
from campaign.showfolder.headings import Column, Table

_PAIRS = {
    "apart": "apart", "not side by side": "apart", "separate": "apart", "separated": "apart", "not together": "apart",
    "together": "together", "same wall": "together", "on one wall": "together", "on the same wall": "together",
}  # fmt: skip
_DEADLINES = {
    "grant": "grant", "grants": "grant", "fund": "grant", "sponsor": "sponsor", "sponsors": "sponsor",
    "other": "other", "gallery": "other", "printer": "other", "venue": "other",
}  # fmt: skip

WORTHS = Table(
    name="worths",
    aliases=("worth", "own worths", "own worth", "points"),
    is_required=False,
    columns=(
        Column("work", code, ("work code", "no", "nr", "code"), carries=True),
        Column("size", size, ("print size", "format")),
        Column("finish", code, ("finish code", "presentation")),
        Column("worth", count(0, 100_000), ("points", "own worth", "score")),
    ),
)

PAIRS = Table(
    name="pairs",
    aliases=("pair", "work pairs", "apart and together", "neighbours"),
    is_required=False,
    columns=(
        Column("kind", choice(_PAIRS, example="apart or together"), ("rule", "how", "what"), carries=True),
        Column("one", code, ("work", "first", "one work", "work code")),
        Column("other", code, ("and", "second", "other work", "with")),
    ),
)

CLOSED_DAYS = Table(
    name="closed days",
    aliases=("closed day", "days off", "holidays", "closed"),
    is_required=False,
    columns=(
        Column("day", day, ("date", "on", "when")),
        Column("note", text(120), ("why", "what", "notes", "remark"), False, ""),
    ),
)

DEADLINES = Table(
    name="deadlines",
    aliases=("deadline", "due dates", "grants and sponsors"),
    is_required=False,
    columns=(
        Column("name", text(160), ("what", "title", "deadline", "for")),
        Column("date", day, ("on", "due", "by", "until", "when")),
        Column("kind", choice(_DEADLINES, example="grant, sponsor or other"), ("type", "sort"), False, "other"),
        Column("money", money(), ("amount", "sum", "could bring", "worth"), False),
        Column("note", text(300), ("notes", "remark", "remarks", "comment"), False, ""),
        Column("done", flag, ("is done", "handed in", "sent"), False, False),
    ),
)

"""Papers that were set up twice under one name keep their rows and get names of their own: a real upgrade."""

from tests.upgrades import rows_after_upgrade

ROWS = """
for code in ("one", "two"):
    show = new_show(code)
    for number, name in enumerate(["Rag", "Rag (2)", "rag", "x" * 120, "x" * 120]):
        create(
            "fulfilment.PaperStock", show=show, code=f"p{number}", name=name, kind="roll", width_mm=610,
            pack_mm=10_000, counted_at=at,
        )
"""


def test_papers_of_one_name_get_names_of_their_own(tmp_path):
    ask = "SELECT name FROM fulfilment_paperstock ORDER BY id"
    rows = rows_after_upgrade(tmp_path, before="0012_certificates_made_by_a_job", rows=ROWS, ask=ask)
    assert [name for (name,) in rows] == ["Rag", "Rag (2)", "rag (3)", "x" * 120, "x" * 116 + " (2)"] * 2

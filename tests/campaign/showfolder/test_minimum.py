"""The minimum in the settings of a show folder: read, kept, and fixed once somebody has ordered."""

import pytest

from campaign.errors import NotReady
from campaign.models import Show
from campaign.services.shows import import_show
from campaign.showfolder import Outcome, read_show_folder
from tests.builders import NOW, place
from tests.showfolders import SETTINGS, write_folder


def folder_with(tmp_path, more):
    path = tmp_path / str(len(list(tmp_path.iterdir())))
    path.mkdir()
    return read_show_folder(write_folder(path, settings=SETTINGS + more))


def test_the_minimum_is_read(tmp_path):
    settings = folder_with(tmp_path, 'minimum = 900\nbelow_minimum = "give back"\n').settings
    assert (settings.minimum_minor, settings.below_minimum) == (90_000, "give_back")
    settings = folder_with(tmp_path, "").settings
    assert (settings.minimum_minor, settings.below_minimum) == (None, "scale_down")


@pytest.mark.parametrize(
    ("line", "words"), [("minimum = 0", "more than nothing"), ('below_minimum = "perhaps"', "smaller, or give back")]
)
def test_what_cannot_be_is_refused(tmp_path, line, words):
    refused = [v.sentence for v in folder_with(tmp_path, f"{line}\n").verdicts if v.outcome is Outcome.REFUSED]
    assert len(refused) == 1
    assert words in refused[0]


def test_a_folder_cannot_change_it_after_an_order(tmp_path, db):
    folder = folder_with(tmp_path, "minimum = 900\n")
    show = import_show(folder=folder, now=NOW).show
    assert show.minimum_minor == 90_000
    Show.objects.update(state=Show.State.OPEN, opens_at="2026-01-01T00:00Z", closes_at="2026-04-30T00:00Z")
    show.refresh_from_db()
    place(show, copies=0)
    import_changed = folder_with(tmp_path, "minimum = 800\n")
    with pytest.raises(NotReady, match="stays as it is"):
        import_show(folder=import_changed, now=NOW)
    show.refresh_from_db()
    assert show.minimum_minor == 90_000

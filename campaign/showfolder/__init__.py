"""The show folder: what an artist hands over, read into frozen rows with a verdict for every row of every file."""

from campaign.showfolder.folder import read_show_folder
from campaign.showfolder.rows import Outcome, ShowFolder, Verdict

__all__ = ["Outcome", "ShowFolder", "Verdict", "read_show_folder"]

"""
PURE: mail that came back. Reads delivery status notifications (RFC 3464) out of bytes that anybody may have sent.

`read_report` says which address did not get which mail, and why, or raises `NotAReport` with the reason in words;
nothing else is raised whatever the bytes are. `split_mbox` cuts a file of many mails. What is made of it is not decided
here: see `campaign/services/bounces.py`.
"""

from campaign.returned.errors import NotAReport
from campaign.returned.mbox import is_mbox, split_mbox
from campaign.returned.reading import LARGEST_BYTES, Report, read_report
from campaign.returned.status import explain, find_status, is_lasting

__all__ = [
    "LARGEST_BYTES", "NotAReport", "Report", "explain", "find_status", "is_lasting", "is_mbox", "read_report",
    "split_mbox",
]  # fmt: skip

"""
Source: RFC 3464, An Extensible Message Format for Delivery Status Notifications, examples of the appendix (the simple
    report and the one with several recipients, as quoted in public repositories, read 2026-11-26); RFC 3463, Enhanced
    Mail System Status Codes, 2 and 3 (from memory).
Edition: January 2003.
Licence: figures and field values only.
What is checked: what the examples say of each recipient is what is read; of every code listed in RFC 3463 whether it
    says that the address takes no mail.
Tolerance: none.
"""

import pytest

from campaign.returned import find_status, is_lasting, read_report

pytestmark = pytest.mark.outside

HEAD = """\
From: Mail Delivery Subsystem <MAILER-DAEMON@cs.utk.edu>
To: <owner-info-mime@cs.utk.edu>
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status;
      boundary="RAA14128.773615765/CS.UTK.EDU"

--RAA14128.773615765/CS.UTK.EDU

The original message was received.

--RAA14128.773615765/CS.UTK.EDU
content-type: message/delivery-status

Reporting-MTA: dns; cs.utk.edu

"""
TAIL = """
--RAA14128.773615765/CS.UTK.EDU
content-type: message/rfc822

[original message goes here]

--RAA14128.773615765/CS.UTK.EDU--
"""
SIMPLE = """\
Original-Recipient: rfc822;louisl@larry.slip.umd.edu
Final-Recipient: rfc822;louisl@larry.slip.umd.edu
Action: failed
Status: 4.0.0
Diagnostic-Code: smtp; 426 connection timed out
Last-Attempt-Date: Thu, 7 Jul 1994 17:15:49 -0400
"""
SEVERAL = """\
Original-Recipient: rfc822;arathib@vnet.ibm.com
Final-Recipient: rfc822;arathib@vnet.ibm.com
Action: failed
Status: 5.0.0 (permanent failure)
Diagnostic-Code: smtp;  550 'arathib@vnet.IBM.COM' is not a
 registered gateway user
Remote-MTA: dns; vnet.ibm.com

Original-Recipient: rfc822;johnh@hpnjld.njd.hp.com
Final-Recipient: rfc822;johnh@hpnjld.njd.hp.com
Action: delayed
Status: 4.0.0 (hpnjld.njd.jp.com: host name lookup failure)

Original-Recipient: rfc822;wsnell@sdcc13.ucsd.edu
Final-Recipient: rfc822;wsnell@sdcc13.ucsd.edu
Action: failed
Status: 5.0.0
Diagnostic-Code: smtp; 550 user unknown
Remote-MTA: dns; sdcc13.ucsd.edu
"""


def read(blocks):
    """The report of the appendix with these recipients."""
    reports = read_report((HEAD + blocks + TAIL).encode())
    return [(one.addresses, one.action, one.status, is_lasting(one.status)) for one in reports]


def test_the_simple_report_is_a_passing_failure():
    """RFC 3464, appendix: a timed out connection, given up after five days, of class 4."""
    assert read(SIMPLE) == [(("louisl@larry.slip.umd.edu",), "failed", "4.0.0", False)]


def test_the_report_about_several_recipients_says_something_of_each():
    """RFC 3464, appendix: two permanent failures and one delay, with comments in the status and a folded field."""
    assert read(SEVERAL) == [
        (("arathib@vnet.ibm.com",), "failed", "5.0.0", True),
        (("johnh@hpnjld.njd.hp.com",), "delayed", "4.0.0", False),
        (("wsnell@sdcc13.ucsd.edu",), "failed", "5.0.0", True),
    ]
    (first, *_) = read_report((HEAD + SEVERAL + TAIL).encode())
    assert first.words == "550 'arathib@vnet.IBM.COM' is not a registered gateway user"


def test_an_address_type_may_carry_a_comment():
    """RFC 3464, 2.1.2: fields are structured by RFC 822, so a comment may stand beside a word."""
    assert read(SIMPLE.replace("rfc822;", "RFC822 (mailbox) ; "))[0][0] == ("louisl@larry.slip.umd.edu",)


# RFC 3463, 3.2 to 3.8, each code of class 5 with what its title is about (from memory).
CODES = [
    ("5.0.0", "other undefined status", True),
    ("5.1.0", "other address status", True),
    ("5.1.1", "bad destination mailbox address", True),
    ("5.1.2", "bad destination system address", True),
    ("5.1.3", "bad destination mailbox address syntax", True),
    ("5.1.4", "destination mailbox address ambiguous", True),
    ("5.1.6", "destination mailbox has moved, no forwarding address", True),
    ("5.1.7", "bad sender's mailbox address syntax", False),
    ("5.1.8", "bad sender's system address", False),
    ("5.2.0", "other mailbox status", True),
    ("5.2.1", "mailbox disabled, not accepting messages", True),
    ("5.2.2", "mailbox full", False),
    ("5.2.3", "message length exceeds administrative limit", False),
    ("5.3.4", "message too big for system", False),
    ("5.4.4", "unable to route", True),
    ("5.5.3", "too many recipients", False),
    ("5.6.1", "media not supported", False),
    ("5.7.1", "delivery not authorized, message refused", False),
]


@pytest.mark.parametrize(("code", "title", "lasts"), CODES)
def test_a_code_ends_the_news_only_if_it_speaks_of_the_address(code, title, lasts):
    """RFC 3463, 3: subjects 1 and 2 are address and mailbox; 3, 5, 6, 7 are system, protocol, content and policy."""
    assert is_lasting(find_status(f"{code} ({title})")) is lasts


@pytest.mark.parametrize("code", [code for code, _, _ in CODES])
def test_class_four_never_lasts(code):
    """RFC 3463, 2: 4.X.X is a persistent transient failure, sending in the future may be successful."""
    assert not is_lasting("4" + code[1:])

"""Mails that came back, as mail servers write them: for tests of reading and of what follows."""

from campaign.models import OutboxMessage


def make_report(
    *,
    recipient: str = "mary@example.org",
    original: str = "",
    action: str = "failed",
    status: str = "5.1.1",
    said: str = "smtp; 550 5.1.1 <mary@example.org>: no such user",
    message_id: str = "",
    returned: str = "message/rfc822",
    tried: str = "Tue, 10 Mar 2026 12:00:00 +0000",
) -> bytes:
    """A delivery status notification of three parts (RFC 3464); without `message_id` the third is left out."""
    about = [f"Original-Recipient: rfc822;{original}"] if original else []
    about += [
        f"Final-Recipient: rfc822; {recipient}", f"Action: {action}", f"Status: {status}", f"Diagnostic-Code: {said}",
        f"Last-Attempt-Date: {tried}",
    ]  # fmt: skip
    third = ["--b", f"Content-Type: {returned}", "", f"Message-ID: {message_id}", "Subject: Ink", ""]
    third += ["Words."] if returned == "message/rfc822" else []
    lines = [
        "From: MAILER-DAEMON@mail.example.net", "To: studio@wallful.example", "Subject: Undelivered Mail",
        "MIME-Version: 1.0", 'Content-Type: multipart/report; report-type=delivery-status; boundary="b"', "",
        "--b", "Content-Type: text/plain", "", "I could not deliver it.", "",
        "--b", "Content-Type: message/delivery-status", "", "Reporting-MTA: dns; mail.example.net", "", *about, "",
        *(third if message_id else []), "--b--", "",
    ]  # fmt: skip
    return "\n".join(lines).encode()


def message_id_of(message: OutboxMessage) -> str:
    """As the outbox puts it on the mail."""
    return f"<{message.uid}@wallful.example>"

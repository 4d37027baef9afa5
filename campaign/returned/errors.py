"""How reading ends where there is nothing to read."""


class NotAReport(Exception):
    """The bytes report no failed delivery; the words say what they are instead."""

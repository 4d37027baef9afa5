"""Reads: rows turned into what pages, mails and the planning engine need. Nothing here writes."""

"""Reads: rows turned into what the rooms Print, Send, Hang and Settle show. Nothing here writes."""

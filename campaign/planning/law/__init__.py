"""Dates that public rules of mail orders ask for, by region. A checklist, not advice; local rules decide."""

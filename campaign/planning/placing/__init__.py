"""Walls, rows and gaps: whether works hang, where, and on which hooks."""

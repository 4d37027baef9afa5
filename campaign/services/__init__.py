"""Writes: one use case per function, one transaction each, nothing sent or drawn inside it."""

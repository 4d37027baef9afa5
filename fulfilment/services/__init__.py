"""Writes of printing and posting: one use case per function, one transaction each."""

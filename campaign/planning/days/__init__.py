"""Dates backwards and forwards, floats, what is late and what can still be done."""

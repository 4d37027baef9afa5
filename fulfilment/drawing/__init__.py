"""Geometry of fulfilment's drawings: integers in the drawing's own units, no markup."""

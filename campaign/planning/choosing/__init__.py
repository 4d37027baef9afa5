"""The exact staircase: which works hang in which size and finish for every sum of money."""

"""Money in minor units, lengths in whole millimetres, weights in grams, working days; no business rule."""

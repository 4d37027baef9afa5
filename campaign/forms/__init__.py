"""Shape and syntax of what people type; clean values in our units, nothing is saved here."""

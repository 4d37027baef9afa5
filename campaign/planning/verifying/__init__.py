"""Whether a plan is what it says, by the definition alone; imports nothing that chooses, places or costs."""

"""What an ordered print leaves, and what works on the wall are offered for."""

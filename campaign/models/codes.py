"""Random public codes: what stands in URLs and references instead of primary keys."""

import secrets

# No 0/O, 1/I/L, U: read aloud over a telephone without a mistake.
ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"


def new_code(length: int = 10) -> str:
    """`length` letters and digits from a cryptographic source (30 symbols: 4.9 bits each)."""
    return "".join(secrets.choice(ALPHABET) for _ in range(length))


def new_pledge_code() -> str:
    """A pledge's public code, 12 characters, 59 bits; the private link adds a signature."""
    return new_code(12)


def new_key() -> str:
    """An unguessable key for papers and jobs, 20 characters, 98 bits."""
    return new_code(20)

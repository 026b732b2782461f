"""Tokens of links that only their receiver has: made at random, kept as marks from which none can be made."""

from __future__ import annotations

import hashlib
import secrets

#: How many random bytes a token holds.
BYTES = 32


def new_token() -> str:
    """A token that nobody can guess, fit for an address."""
    return secrets.token_urlsafe(BYTES)


def mark_of(token: str) -> str:
    """The mark by which a token is known again; the store keeps this alone."""
    return hashlib.sha256(token.encode()).hexdigest()

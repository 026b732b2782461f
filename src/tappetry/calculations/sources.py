"""The sources that calculations share."""

from __future__ import annotations

from tappetry.calculations.model import Source

DEFINITION = Source("definition", "textbook")
GEOMETRY = Source("geometry", "textbook")
LINEAR_SPRING = Source("linear spring", "textbook")
LEVER = Source("lever arms", "textbook")
CHAIN = Source("chain of lengths", "textbook")
BERNOULLI = Source("Bernoulli's equation", "textbook")
IDEAL_GAS = Source("ideal gas", "textbook")
CONTINUITY = Source("continuity", "textbook")
DYNAMICS = Source("force is mass times acceleration", "textbook")


def practice(text: str) -> Source:
    """A number that careful shops agree on and nobody publishes."""
    return Source(text, "common practice, no source")


def textbook(text: str) -> Source:
    """A formula of a textbook, quoted from memory and re-derived in a test."""
    return Source(text, "textbook", from_memory=True)


def standard(text: str, from_memory: bool = True) -> Source:
    """A published standard."""
    return Source(text, "standard", from_memory)

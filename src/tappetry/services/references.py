"""What a stated value refers to: gauge or absolute, crank or cam, side of a dead centre, which diameter.

A unit alone does not tell a gauge pressure from an absolute one. Whoever writes the word behind the number
has it checked against what the input is; nothing is converted, for that would take a fact nobody stated.
"""

from __future__ import annotations

import re

from tappetry.calculations.model import Input
from tappetry.quantities.notation import NotationError

_FAMILIES: dict[str, tuple[dict[str, str], ...]] = {  # by kind: each word as it is written, and what it says
    "pressure": ({"absolute": "absolute", "abs": "absolute", "gauge": "gauge", "gage": "gauge"},),
    "angle": (
        {"crank": "crank", "cam": "cam"},
        {side.lower(): side for side in ("BTDC", "ATDC", "BBDC", "ABDC")},
    ),
    "angular-speed": ({"crank": "crank", "cam": "cam", "pump": "pump"},),
    "length": ({"mean": "mean", "outside": "outside", "inside": "inside"},),
}
_ADVICE = {  # what was stated, what the input is
    ("gauge", "absolute"): "add the pressure of the air",
    ("absolute", "gauge"): "take the pressure of the air off",
    ("cam", "crank"): "a degree of the cam is two of the crank",
    ("crank", "cam"): "a degree of the crank is half a degree of the cam",
    ("ATDC", "BTDC"): "after a dead centre is negative before it",
    ("BTDC", "ATDC"): "before a dead centre is negative after it",
    ("ABDC", "BBDC"): "after a dead centre is negative before it",
    ("BBDC", "ABDC"): "before a dead centre is negative after it",
    ("outside", "mean"): "a mean diameter is the outside one less one wire",
    ("inside", "mean"): "a mean diameter is the inside one and one wire",
}
_LETTER = re.compile(r"(?<![A-Za-z])(psi|bar|kPa)\(?([ag])\)?(?![A-Za-z])")
_LETTERS = {"a": "absolute", "g": "gauge"}


def without_reference(taken: Input, text: str) -> str:
    """A typed value without the word that says what it refers to, once that word fits the input.

    Raises
    ------
    NotationError
        The word says something else than the input is.
    """
    plain = text
    if taken.kind == "pressure":
        plain = _LETTER.sub(lambda found: f"{found[1]} {_LETTERS[found[2]]}", plain)
    for family in _FAMILIES.get(taken.kind, ()):
        words = re.compile(rf"(?<![\w.])({'|'.join(family)})(?![\w.])", re.IGNORECASE)
        for found in words.finditer(plain):
            _check(taken, text, found.start(), family[found[1].lower()], _own(taken, family))
        plain = words.sub(" ", plain)
    return " ".join(plain.split()) if plain != text else text


def _own(taken: Input, family: dict[str, str]) -> list[str]:
    """What the input itself refers to, as its qualifier, or of a length its description, says."""
    said = re.sub(r"not \w+", "", taken.qualifier)
    if taken.kind == "length":
        said = f"{said} {taken.description}"
    words = re.findall(r"\w+", said.lower())
    return list(dict.fromkeys(meant for word, meant in family.items() if word in words))


def _check(taken: Input, text: str, position: int, stated: str, own: list[str]) -> None:
    if stated in own:
        return
    if not own:
        raise NotationError(text, taken.kind, position, f"{stated!r} says nothing here: {taken.description}")
    advice = _ADVICE.get((stated, own[0]), "state it so")
    cause = f"{stated!r} is stated, but this is {own[0]} ({taken.description}): {advice}"
    raise NotationError(text, taken.kind, position, cause)

"""What the published schemas ask for, in words: their keywords and patterns tell a shop nothing."""

from __future__ import annotations

PATTERNS: dict[str, str] = {
    r"^\d{4}-\d{2}-\d{2}$": "a day as year-month-day, such as 2026-03-02",
    r"^\d+(\.\d{1,2})?$": "an amount with a dot before its cents, such as 16.00",
    r"^[A-Z]{3}$": "three capitals",
    r"^[A-Z][A-Z0-9]*$": "capitals and digits, first a capital",
    r"^[A-Z0-9]{2,8}$": "two to eight capitals and digits",
    r"^[A-HJ-NPR-Z0-9]$": "one capital or digit, but not I, O or Q",
    r"^[A-HJ-NPR-Z0-9]{3}$": "three capitals or digits, but not I, O or Q",
    r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$": "small letters and digits joined by hyphens, such as timing-cover",
    r"^[a-z][a-z0-9_]*$": "small letters, digits and low lines, such as seat_load",
    r"^[a-z][a-z0-9_]*[.][a-z][a-z0-9_]*$": "two names with a dot between them, such as springs.seat_load",
    r"^[A-Za-z0-9][A-Za-z0-9-]*$": "letters, digits and hyphens",
    r"^[A-Za-z0-9][A-Za-z0-9._-]{0,40}$": "up to 41 letters, digits, dots, hyphens and low lines, such as J1",
    r"^\d+( \d+)*$": "numbers with a space between them, such as 3 1 2",
    r"^([1-9]|1[0-7])$": "a number from 1 to 17",
    r"^H([1-9]|10)$": "H1 to H10",
    r"^(M\d+(\.\d+)?x\d+(\.\d+)?|(\d+/)?\d+-\d+)$": "a thread, such as M8x1.25 or 3/8-16",
    r"^\d{1,2}\.\d$": "a class of strength, such as 10.9",
    r"^[0-9.]+ ?%$|^[0-9.]+ ?[^0-9%]*$": "a number with its unit, or a share, such as 0.010 in or 2 %",
}
"""By the pattern."""

LIMITS: dict[str, str] = {
    "minimum": "at least {}",
    "maximum": "at most {}",
    "exclusiveMinimum": "more than {}",
    "minLength": "a text of {} or more characters",
    "maxLength": "a text of at most {} characters",
    "minItems": "a list of {} or more",
    "maxItems": "a list of at most {}",
    "minProperties": "{} or more keys",
    "uniqueItems": "a list that names each thing once",
    "const": "{}",
}
"""By the keyword, with its value."""

TYPES: dict[str, str] = {
    "string": "a text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
    "array": "a list",
    "object": "keys with values",
    "null": "nothing",
}
"""By the name of the type."""

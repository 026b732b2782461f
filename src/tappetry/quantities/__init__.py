"""Units, shop notation, tolerances and money: how a value is written, and what it is in SI."""

"""Plain data that every room speaks: facts, parts, the five records, verdicts and errors."""

"""Which engine it is: VIN, castings, evidence, contradictions, applications, the next question."""

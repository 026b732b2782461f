"""What a shop knows, as text: families, needs, rules, quantities, proofs, labour and the house book."""

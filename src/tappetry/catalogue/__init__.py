"""What suppliers sell: parts and price lists, read strictly and held as one immutable catalogue."""

"""Proofs: named values against limits, with margin, verdict, source and inputs."""

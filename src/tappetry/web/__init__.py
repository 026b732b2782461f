"""The shop app: pages rendered on the server for counter, bench and desk, on this machine alone."""

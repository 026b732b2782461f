"""From needs to a kit: candidates, exact solver, reasons as data, and an independent checker."""

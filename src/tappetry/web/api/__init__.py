"""The app's functions for other programs, as JSON below one address; described by OpenAPI."""

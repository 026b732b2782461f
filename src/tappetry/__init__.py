"""tappetry: from a vehicle and a wish to a complete, proved and priced camshaft conversion kit."""

__version__ = "0.1.0"

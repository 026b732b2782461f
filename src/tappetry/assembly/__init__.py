"""The one place where engine, plan, chosen parts and measurements become named values."""

from tappetry.assembly.values import Trace, Values

__all__ = ["Trace", "Values"]

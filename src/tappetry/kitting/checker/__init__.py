"""The independent judge of a finished kit: it shares no code with the solver, and starts from the end."""

from tappetry.kitting.checker.complaint import CheckComplaint
from tappetry.kitting.checker.judge import check_kit

__all__ = ["CheckComplaint", "check_kit"]

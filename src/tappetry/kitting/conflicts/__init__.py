"""Why a request cannot be met: grounds that cannot hold together, whose they are, and the arithmetic."""

from tappetry.kitting.conflicts.core import Core, core_of

__all__ = ["Core", "core_of"]

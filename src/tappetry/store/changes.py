"""Says cheaply whether anybody wrote into a database, of this process or of another."""

from __future__ import annotations

import sqlite3
from threading import Lock

#: Which connection it was, for each counts for itself, and what it counts.
Mark = tuple[int, int]


class Changes:
    """A look at a database file, which differs after each act of anybody and holds no lock between looks.

    SQLite counts for each connection what others committed (``PRAGMA data_version``), so this one is used for
    nothing else.

    Parameters
    ----------
    file : str
        The database file; empty where the database is none, which is then never known.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._lock = Lock()
        self._connection: sqlite3.Connection | None = None
        self._opened = 0

    def mark(self) -> Mark | None:
        """Two numbers that stay as long as nobody writes; None where that cannot be told."""
        if not self._file:
            return None
        with self._lock:
            try:
                if self._connection is None:
                    self._connection = sqlite3.connect(self._file, timeout=0, check_same_thread=False)
                    self._opened += 1
                ((version,),) = self._connection.execute("PRAGMA data_version").fetchall()
                return self._opened, version
            except sqlite3.Error:
                self._close()
                return None

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._close()

    def _close(self) -> None:
        if self._connection is not None:
            self._connection.close()
        self._connection = None

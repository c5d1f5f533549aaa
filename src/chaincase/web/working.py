"""Bulk work of the pages and the API: what a worker can do, and the thread of a server that does it.

The same chunks are done by a server, by `chaincase work` beside it, and by workers on other hosts; who takes a chunk
has it until the lease ends (`register.jobs`), so nothing is done twice and a kill loses nothing.
"""

from collections.abc import Mapping
from threading import Event, Thread

from chaincase.catalog.table import Catalog
from chaincase.register import Register
from chaincase.register.jobs import Work, keep_working
from chaincase.web import import_work, survey_work


def works(catalog: Catalog) -> Mapping[str, Work]:
    """Give the kinds of work that can be done with these tables.

    >>> sorted(works(Catalog.standard()))
    ['import', 'survey']
    """
    return {**import_work.WORKS, **survey_work.works(catalog)}


class Hands:
    """The thread that does what waits while a server runs."""

    def __init__(self, register: Register, catalog: Catalog) -> None:
        self._stopped = Event()
        given = (register, works(catalog), self._stopped)
        self._thread = Thread(target=keep_working, args=given, name="jobs", daemon=True)

    def start(self) -> None:
        """Begin to look for work."""
        self._thread.start()

    def stop(self) -> None:
        """Stop after the chunk at hand; what takes longer than a few seconds is taken up by the next worker."""
        self._stopped.set()
        self._thread.join(5)

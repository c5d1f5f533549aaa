"""The API of keeping: whether the journal is sound, and everything in one file."""

from collections.abc import Callable
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from starlette.background import BackgroundTask
from starlette.responses import FileResponse, Response

from chaincase.register.journal import Verdict
from chaincase.web.access import Right
from chaincase.web.papers import today
from chaincase.web.routing import Here, api
from chaincase.web.server import Server

api_admin = api(Right.ADMINISTER, "server", prefix="/keeping")

FILE: dict[int | str, dict[str, Any]] = {200: {"content": {"application/octet-stream": {}}, "description": "The file."}}


@api_admin.get("/verdict", summary="Whether the journal is sound")
def verdict(here: Here, *, deep: bool = False) -> Verdict:
    """Find the first entry of the journal that is not as it was written; deep also looks at cases and files."""
    return here.register.verify(deep=deep)


@api_admin.get("/backup", summary="Back up", responses=FILE, response_class=Response)
def backup(here: Here) -> Response:
    """Give everything, hashes of passwords included, in one file; `chaincase restore` takes it."""
    return _archive(here, here.register.backup, "backup")


@api_admin.get("/export", summary="Export", responses=FILE, response_class=Response)
def export(here: Here) -> Response:
    """Give everything but the ways to get in, in one file that others can read."""
    return _archive(here, here.register.export, "export")


def _archive(here: Server, write: Callable[[Path], object], what: str) -> Response:
    """Write an archive beside the register, give it, and take it away again."""
    folder = Path(mkdtemp(prefix="archive-", dir=here.settings.data))
    name = f"chaincase-{what}-{today()}.zip"
    try:
        write(folder / name)
    except BaseException:
        _gone(folder)
        raise
    media_type = "application/octet-stream"
    return FileResponse(folder / name, filename=name, media_type=media_type, background=BackgroundTask(_gone, folder))


def _gone(folder: Path) -> None:
    for path in folder.iterdir():
        path.unlink(missing_ok=True)
    folder.rmdir()

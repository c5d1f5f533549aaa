"""Catalogs that a user keeps: stored in the data folder as CSV and key, one form with what is imported."""

import csv
import json
import os
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace as with_fields
from hashlib import sha256
from pathlib import Path
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.dimension_key import LIMITS
from chaincase.catalog.importing import import_catalog
from chaincase.catalog.key_file import read_key
from chaincase.catalog.packaged import TABLES
from chaincase.catalog.sheets import CATALOG, MIB
from chaincase.catalog.table import Catalog, Limit, concatenate
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput

STORED = with_fields(CATALOG, text_bytes=1024 * MIB)
"""What was stored has been checked; figures converted from inches are three times as long as written."""
_NAME = re.compile(r"\w[\w .,+()&'-]{0,62}(?<![ .])")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)
_LIMIT_WORD = {limit: word for word, limit in LIMITS.items()}


def data_folder() -> Path:
    """Give the folder of the user's data: CHAINCASE_DATA, or where the platform keeps such data.

    Nothing is made here; the folder may not exist yet.
    """
    named = os.environ.get("CHAINCASE_DATA")
    if named:
        return Path(named).expanduser()
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "chaincase"
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "chaincase"
    return Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share") / "chaincase"


def catalog_folder() -> Path:
    """Give the folder of the user's catalogs."""
    return data_folder() / "catalogs"


def check_name(name: str) -> str:
    """Give the name of a catalog if it can be one.

    Raises
    ------
    BadInput
        If it is no file name, or that of a packaged table.

    >>> check_name("mill prints 1987")
    'mill prints 1987'
    """
    if not _NAME.fullmatch(name) or _RESERVED.fullmatch(name):
        right = "use up to 63 letters, digits, blanks and . , + ( ) & ' -, a letter or digit first"
        raise BadInput(f"{name!r} cannot be the name of a catalog", right=right)
    if name in TABLES:
        raise BadInput(f"{name!r} is a packaged table", right="give another name with --name")
    return name


def store_catalog(catalog: Catalog, folder: str | Path, name: str, *, replace: bool = False) -> Path:
    """Write a catalog into a folder, whole or not at all.

    Parameters
    ----------
    catalog : Catalog
        Rows of one source, as an import gives them.
    folder : str or Path
        Where the user's catalogs are; made if it is not there.
    name : str
        Name under which it can be asked for.
    replace : bool
        Whether a catalog of that name may be replaced.

    Returns
    -------
    Path
        The key that was written; its table lies beside it.

    Raises
    ------
    BadInput
        If the name cannot be used or is taken, or the folder cannot be written.
    """
    folder, name = Path(folder), check_name(name)
    key_path = folder / f"{name}.toml"
    if key_path.exists() and not replace:
        right = "give another name with --name, or say --replace"
        raise BadInput(f"there is already a catalog {name!r}", where=str(key_path), right=right)
    text = _key_text(catalog, name)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        before = _table_of(key_path)
        # The table gets a new name and the key, written last, points to it: until then the old pair stands.
        with _written(folder, lambda file: _write_rows(catalog, file)) as temporary:
            table = folder / f"{name}.{_digest(temporary)}.csv"
            temporary.replace(table)
        with _written(folder, lambda file: file.write(f"file = {_quoted(table.name)}\n{text}")) as temporary:
            temporary.replace(key_path)
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise BadInput(
            f"the catalog cannot be written ({reason})", where=str(folder), right="check the folder"
        ) from None
    if before is not None and before != table:
        with suppress(OSError):
            before.unlink()
    return key_path


@contextmanager
def _written(folder: Path, write: Callable[[TextIO], object]) -> Iterator[Path]:
    """Write a temporary file to the disk; what is not renamed afterwards is removed."""
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=folder)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        yield Path(name)
    finally:
        Path(name).unlink(missing_ok=True)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        found = sha256()
        while piece := file.read(MIB):
            found.update(piece)
    return found.hexdigest()[:12]


def _table_of(key_path: Path) -> Path | None:
    """Give the table of a stored key, if there is one that can be read."""
    try:
        file = read_key(key_path).file
    except BadInput:
        return None
    return key_path.parent / Path(file).name if file else None


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _columns(catalog: Catalog) -> dict[str, NDArray[np.float64]]:
    """Give the columns of figures that hold any."""
    columns = {d.name: catalog.values[:, i] for i, d in enumerate(DIMENSIONS)}
    columns |= {"tensile_kn": catalog.tensile_kn, "mass_kg_per_m": catalog.mass_kg_per_m}
    return {name: figures for name, figures in columns.items() if not np.isnan(figures).all()}


def _key_text(catalog: Catalog, name: str) -> str:
    if len(catalog.sources) != 1:
        right = "store each table on its own"
        raise BadInput(f"the catalog has {len(catalog.sources)} sources", where=name, right=right)
    source = catalog.sources[0]
    lines = [
        f"title = {_quoted(source.title)}",
        f"source = {_quoted(source.standard)}",
        f"evidence = {_quoted(source.evidence)}",
        'header_row = 1\nunit = "mm"\ndesignation = "designation"\nalternatives = ["alternatives"]',
        'kind_column = "kind"\nstrands_column = "strands"\nstandard_column = "standard"\nnote = ["note"]',
    ]
    columns = _columns(catalog)
    for column, unit in (("tensile", "kN"), ("mass", "kg/m")):
        stored = {"tensile": "tensile_kn", "mass": "mass_kg_per_m"}[column]
        if stored in columns:
            lines.append(f'{column} = {{ column = "{stored}", unit = "{unit}" }}')
    lines.append("\n[columns]")
    for i, dimension in enumerate(DIMENSIONS):
        if dimension.name in columns:
            lines.append(f'{dimension.name} = {{ limit = "{_limit(catalog, i, name)}" }}')
    return "\n".join(lines) + "\n"


def _limit(catalog: Catalog, column: int, name: str) -> str:
    found = np.unique(catalog.limits[~np.isnan(catalog.values[:, column]), column])
    if len(found) != 1:
        right = "divide the table, so that a column has one sort of limit"
        what = f"{DIMENSIONS[column].name} is nominal in some rows and a limit in others"
        raise BadInput(what, where=name, right=right)
    return _LIMIT_WORD[Limit(int(found[0]))]


def _write_rows(catalog: Catalog, file: TextIO) -> None:
    """Write the rows in the form of the packaged tables."""
    columns = _columns(catalog)
    kinds = [kind.name for kind in KINDS]
    head = ("designation", "alternatives", "kind", "strands")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow((*head, *columns, "standard", "note"))
    writer.writerows(
        zip(
            catalog.designations,
            ("|".join(names) for names in catalog.alternatives),
            (kinds[code] for code in catalog.kind.tolist()),
            (count or "" for count in catalog.strands.tolist()),
            *([value if value == value else "" for value in c.tolist()] for c in columns.values()),  # noqa: PLR0124
            catalog.standards,
            catalog.notes,
            strict=True,
        )
    )


def stored_names(folder: str | Path) -> tuple[str, ...]:
    """Give the names of the catalogs in a folder, in alphabetical order."""
    return tuple(sorted(path.stem for path in Path(folder).glob("*.toml")))


def load_stored(folder: str | Path, name: str | None = None) -> Catalog:
    """Read one stored catalog, or all of a folder.

    Parameters
    ----------
    folder : str or Path
        Where they are; an absent folder has none.
    name : str, optional
        The one that is wanted.

    Raises
    ------
    BadInput
        If there is none of that name, or a file was changed so that it cannot be read.
    """
    names = stored_names(folder)
    if name is None:
        return concatenate([_load(Path(folder) / f"{one}.toml") for one in names])
    if name not in names:
        there = f"stored are: {', '.join(names)}" if names else "import one with `chaincase catalog import FILE`"
        raise BadInput(f"there is no stored catalog {name!r}", where=str(folder), right=there)
    return _load(Path(folder) / f"{name}.toml")


def _load(key_path: Path) -> Catalog:
    key = read_key(key_path)
    if key.file is None:
        right = 'write file = "the table\'s file", or name the table instead of its key'
        raise BadInput("the key does not say which file it belongs to", where=str(key_path), right=right)
    return import_catalog(key_path.parent / key.file, key, name=key_path.stem, limits=STORED)[0]


def open_catalog(named: str | Path, folder: str | Path | None = None) -> Catalog:
    """Open a catalog that is named in any way: as `identify --catalog` takes it.

    Parameters
    ----------
    named : str or Path
        Name of a stored catalog, a CSV or XLSX file with its key beside it or in the tool's own form, or a key
        that names its file.
    folder : str or Path, optional
        Where stored catalogs are; the user's data folder without it.

    Raises
    ------
    BadInput
        If there is no such catalog, or it cannot be read.
    """
    path, folder = Path(named), Path(folder) if folder is not None else catalog_folder()
    if path.suffix.lower() == ".toml":
        return _load(path)
    if path.name == str(named) and str(named) in stored_names(folder) and not path.is_file():
        return load_stored(folder, str(named))
    if path.name == str(named) and not path.suffix and not path.exists():
        return load_stored(folder, str(named))
    return import_catalog(path)[0]

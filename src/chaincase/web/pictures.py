"""The keyed figure of a case, and figures as files."""

from collections.abc import Mapping
from typing import Final, Literal

from chaincase.case.form import Case
from chaincase.catalog.describe import describe
from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import BY_NAME, KINDS
from chaincase.documents.pictures import png_of
from chaincase.drawing.figure import figure
from chaincase.drawing.scene import Scene
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput
from chaincase.web.papers import Made
from chaincase.web.server import Server
from chaincase.web.service import Standing, standing

Ending = Literal["svg", "dxf", "png"]
TYPE_OF: Final = {"svg": "svg+xml", "png": "png"}


def written(scene: Scene, ending: Ending, name: str) -> Made:
    """Give a figure as a file: svg, dxf, or png.

    Raises
    ------
    BadInput
        If it cannot be drawn so.
    """
    called = f"{name.replace('/', '-')}.{ending}"
    if ending == "dxf":
        from chaincase.drawing.dxf import write_dxf  # its library takes longer to load than all of the others

        return Made(called, write_dxf(scene), "image/vnd.dxf")
    svg = write_svg(scene)
    return Made(called, png_of(svg) if ending == "png" else svg.encode(), f"image/{TYPE_OF[ending]}")


def figure_of_case(server: Server, case: str, *, state: str = "measured", designation: str = "") -> str:
    """Give the keyed figure of a case as SVG; raises as `scene_of_case`."""
    return write_svg(scene_of_case(server, case, state=state, designation=designation))


def scene_of_case(server: Server, case: str, *, state: str = "measured", designation: str = "") -> Scene:
    """Give the keyed figure of a case: drawn as a chain of the tables, with what was read beside its letters.

    Raises
    ------
    Missing
        If there is no such case.
    BadInput
        If the state or the designation is none, or nothing says yet what kind of chain it is.
    """
    stands = standing(server, case)
    form, _ = stands.known()
    name = designation or likeliest(stands)
    read = readings(form)
    if not name:
        return figure(_kind_seen(form), {}, values=read, title=form.case, state=state)
    catalog = server.catalog
    row = catalog.row(name)
    kind = KINDS[int(catalog.kind[row])].name
    title = f"{form.case}: {catalog.designations[row]}"
    values, shown = (_listed(catalog, row), read) if state in {"compare", "specified"} else (read, {})
    known = catalog.dimensions_of(row)
    on_kind = {each: text for each, text in shown.items() if each in known} if state == "compare" else None
    return figure(kind, known, values=values, title=title, state=state, found=on_kind)


def likeliest(stands: Standing) -> str:
    """Give `table/designation` of the chain that a case is, or most likely is; empty without evidence."""
    found = stands.findings
    if found is None:
        return ""
    if found.base is not None and found.base.row is not None:
        return found.base.key
    best = next(iter(found.identity.candidates), None) if found.identity is not None else None
    return "" if best is None else f"{best.table}/{best.designation}"


def readings(form: Case) -> Mapping[str, str]:
    """Give what was typed for each dimension, several readings of one joined."""
    typed: dict[str, list[str]] = {}
    for each in form.evidence.readings:
        typed.setdefault(each.dimension, []).append(str(each.value))
    return {name: ", ".join(texts[:3]) for name, texts in typed.items()}


def _kind_seen(form: Case) -> str:
    seen = next((word for word in form.evidence.construction if word in BY_NAME), "")
    if not seen:
        raise BadInput(
            "nothing says yet what kind of chain it is", where="evidence.construction", right="choose a kind"
        )
    return seen


def _listed(catalog: Catalog, row: int) -> dict[str, str]:
    return {each.dimension.name: f"{each.value:g}" for each in describe(catalog, row)}

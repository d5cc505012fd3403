"""A published revision as a page that stands by itself: no script, nothing from elsewhere."""

from jinja2 import Environment, PackageLoader, StrictUndefined

from events.half_points import to_text
from service.publishing.published import Published

_pages = Environment(
    loader=PackageLoader("service.publishing", "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_pages.filters["points"] = to_text
_pages.filters["words"] = lambda code: code.replace("_", " ")


def page(shown: Published, newest: int) -> str:
    """The revision as HTML; ``newest`` is the revision in force, to say where this is not it."""
    return _pages.get_template("result.html").render(
        shown=shown, document=shown.document, newest=newest, note=shown.publication.note.decode()
    )

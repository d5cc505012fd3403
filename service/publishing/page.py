"""A published revision as a page that stands by itself: no script, nothing from elsewhere."""

from fractions import Fraction

from jinja2 import Environment, PackageLoader, StrictUndefined

from events.half_points import to_text
from events.scoring.exact import to_words
from service.publishing.published import Published

_pages = Environment(
    loader=PackageLoader("service.publishing", "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_pages.filters["points"] = to_text
_pages.filters["figure"] = lambda figure: to_words(Fraction(figure))
_pages.filters["seconds"] = lambda ms: f"{ms // 1000}.{ms % 1000:03}"
_pages.filters["words"] = lambda code: code.replace("_", " ")


def page(shown: Published, newest: int) -> str:
    """The revision as HTML; ``newest`` is the revision in force, to say where this is not it."""
    return _pages.get_template("result.html").render(
        shown=shown, document=shown.document, newest=newest, note=shown.publication.note.decode()
    )

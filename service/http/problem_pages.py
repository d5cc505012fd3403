"""A readable page for every problem: what its type stands for, and what to do about it."""

from http import HTTPStatus

from flask import Blueprint, Response, render_template_string

from service.http import guard
from service.http.problems import kinds, problem, respond

blueprint = Blueprint("problems", __name__, url_prefix="/problems")

_PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{ title }}</title>
<h1>{{ title }}</h1>
{% if code %}
<p>Code <code>{{ code }}</code>, answered with {{ status.value }} {{ status.phrase }}.</p>
<p>{{ advice }}</p>
<p><a href="/problems">All problems</a></p>
{% else %}
<dl>
{% for name, kind in kinds.items() %}
<dt><a href="/problems/{{ name }}"><code>{{ name }}</code></a> ({{ kind.status }})</dt>
<dd>{{ kind.title }}.</dd>
{% endfor %}
</dl>
{% endif %}
</html>
"""


def _all() -> str:
    return render_template_string(_PAGE, title="Problems", kinds=kinds())


def _one(code: str) -> str | Response:
    kind = kinds().get(code)
    if kind is None:
        return respond(problem("not_found", f"No problem has the code {code}."))
    return render_template_string(
        _PAGE,
        title=kind.title,
        code=code,
        status=HTTPStatus(kind.status),
        advice=kind.advice,
    )


blueprint.add_url_rule("", "all", guard.open_to(_all, guard.ANYONE))
blueprint.add_url_rule("/<id:code>", "one", guard.open_to(_one, guard.ANYONE))

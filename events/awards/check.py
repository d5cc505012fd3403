"""What the rules of an award must hold to, whoever gives it."""

import re

from events.awards.rules import AwardRules
from events.refusals import Refusal

_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def check_rules(rules: AwardRules) -> None:
    """Refuse rules that no award can be reckoned by, with the field at fault."""
    if not _SLUG.fullmatch(rules.award):
        raise Refusal(
            "award_misnamed",
            "An award is named by lower-case words and digits with hyphens between.",
            field="rules.award",
        )
    if not rules.name.strip():
        raise Refusal("name_missing", "An award needs a name.", field="rules.name")
    _check_categories(rules)
    _check_counts(rules)
    if len(set(rules.ties)) < len(rules.ties):
        raise Refusal("tie_step_twice", "A tie step is named twice.", field="rules.ties")


def _check_categories(rules: AwardRules) -> None:
    if not rules.categories:
        raise Refusal(
            "categories_missing", "An award counts at least one category.", field="rules.categories"
        )
    names = [category.name for category in rules.categories]
    for index, name in enumerate(names):
        field = f"rules.categories[{index}].name"
        if not name.strip():
            raise Refusal("name_missing", "A category needs a name.", field=field)
        if name in names[:index]:
            raise Refusal("category_twice", f"Two categories are called {name}.", field=field)


def _check_counts(rules: AwardRules) -> None:
    if rules.best_of is not None and rules.best_of < 1:
        raise Refusal("best_of_none", "At least one result counts.", field="rules.best_of")
    if not 0 <= rules.minimum_categories <= len(rules.categories):
        raise Refusal(
            "minimum_unreachable",
            f"The award has {len(rules.categories)} categories, not {rules.minimum_categories}.",
            field="rules.minimum_categories",
        )
    for field in ("minimum_shows", "minimum_judges"):
        if getattr(rules, field) < 0:
            raise Refusal("minimum_negative", "A minimum counts from 0.", field=f"rules.{field}")

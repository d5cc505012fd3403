"""What the rules of an award must hold to, whoever gives it."""

import re
from fractions import Fraction

from events.awards.rules import AwardRules, Category
from events.refusals import Refusal
from events.scoring.exact import exact
from events.scoring.points.model import PointsTable

_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_WEIGHT = re.compile(r"\d{1,6}(\.\d{1,6}|/[1-9]\d{0,5})?", re.ASCII)


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
    for index, category in enumerate(rules.categories):
        _check_category(category, f"rules.categories[{index}]")


def _check_category(category: Category, field: str) -> None:
    if weight_of(category) is None:
        raise Refusal(
            "category_weight_unreadable",
            f"The weight of {category.name} cannot be read: write a number above 0, such as 0.5 "
            "or 1/3.",
            field=f"{field}.weight",
        )
    for index, class_id in enumerate(category.champions):
        if class_id in category.classes or class_id in category.champions[:index]:
            raise Refusal(
                "champions_counted_twice",
                f"The class {class_id} names champions, so it counts once, and for that alone.",
                field=f"{field}.champions[{index}]",
            )


def weight_of(category: Category) -> Fraction | None:
    """The part of a category's points that counts; ``None`` where its text is no such number."""
    return (exact(category.weight) or None) if _WEIGHT.fullmatch(category.weight) else None


def check_champions(rules: AwardRules, table: PointsTable) -> None:
    """Refuse classes that name champions where the points table has nothing for champions."""
    if table.champions is not None:
        return
    for index, category in enumerate(rules.categories):
        if category.champions:
            raise Refusal(
                "champions_without_points",
                f"The points table {table.id} has no points for champions.",
                field=f"rules.categories[{index}].champions",
            )


def _check_counts(rules: AwardRules) -> None:
    if rules.best_of is not None and rules.best_of < 1:
        raise Refusal("best_of_none", "At least one result counts.", field="rules.best_of")
    if not 0 <= rules.minimum_categories <= len(rules.categories):
        raise Refusal(
            "minimum_unreachable",
            f"The award counts {len(rules.categories)} in all, not {rules.minimum_categories}.",
            field="rules.minimum_categories",
        )
    for field in ("minimum_shows", "minimum_classes", "minimum_judges"):
        if getattr(rules, field) < 0:
            raise Refusal("minimum_negative", "A minimum counts from 0.", field=f"rules.{field}")

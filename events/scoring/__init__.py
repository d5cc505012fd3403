"""From a card to a total, and from totals to placings. Knows rule books, but no aggregate."""

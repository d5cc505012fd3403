"""Points for places in a class: tables and formulas as data, and what they award."""

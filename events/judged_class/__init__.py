"""A judged class: its draw, its judges' cards, its rail work, its results and protests."""

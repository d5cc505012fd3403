"""A show: its days, rings, officials and rule books."""

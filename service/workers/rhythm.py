"""How often what comes round comes round, on either way of running the workers."""

from datetime import timedelta

CHECKPOINT_EVERY = timedelta(minutes=5)
CLEAN_UP_EVERY = timedelta(minutes=10)
OFFERS_LAST = 6
"""How many ticks pass before what was offered to a worker and not taken up is offered again."""

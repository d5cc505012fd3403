"""A season: what counts towards its standings, and for whom."""

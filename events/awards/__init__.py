"""Awards over many classes: how those of a season and those of a show are reckoned."""

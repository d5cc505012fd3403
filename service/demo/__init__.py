"""The demo: an invented show, played through the desk and told from its log."""

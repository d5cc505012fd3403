"""The shell around the core: store, HTTP, workers, pages, printing, command line."""

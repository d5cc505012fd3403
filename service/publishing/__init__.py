"""Published results as they are read: joined with names, as JSON, CSV, a page, or a whole show."""

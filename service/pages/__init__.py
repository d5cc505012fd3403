"""A few plain screens: the noticeboard for everybody, a class at any moment for who may see it."""

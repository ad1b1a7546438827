"""One grammar of places and stages: what is printed is what is understood."""

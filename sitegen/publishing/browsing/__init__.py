"""Finding a piece among many: by what it is (facets), by words (search), and in what order a teacher puts them."""

"""What is made of a piece, a module for each step: pure functions from values to values, each a row of ``table``."""

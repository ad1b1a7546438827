"""The page for teachers: every field, command, technique, texture and way to say a place, as the program knows them.

It is made from the tables that the validation itself goes by, so that it cannot tell of what is not there.
"""

from sitegen.reference.page import named_things, reference_page

__all__ = ["named_things", "reference_page"]

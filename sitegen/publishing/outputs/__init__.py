"""The files of a site, a module for each kind: its path, its schema, what it is made from and how it is written.

A new kind is a new module here; ``registry.py`` finds it. What is made from the data of the pages is a
``PublishedFile``; what a step of the building made, and is only put in its place, a ``TakenFile``.
"""

"""Tying the steps together: what is asked for, what is kept, who makes it, and a site that is published whole or not at
all. Its modules are imported one by one, so that a build in which nothing changed loads none that it does not need."""

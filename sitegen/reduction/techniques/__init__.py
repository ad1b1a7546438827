"""The techniques, a module for each family. See ``sitegen.reduction.registry`` for the table they are entered in."""

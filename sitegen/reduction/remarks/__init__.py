"""Remarks on a stage, by what they speak of: each is a list of sentences, the most telling first."""

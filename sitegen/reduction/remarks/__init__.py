"""Remarks on a stage, by what they speak of. Each takes what the stage shows (``shown``) and gives sentences, the most
telling first: only such as the notes of this very stage bear out."""

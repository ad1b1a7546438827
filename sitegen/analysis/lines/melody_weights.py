"""What makes a note part of the melody, in beats of plain top voice: a note that nothing hides is worth 1 a beat.

All are set by reason, and checked on songs whose singer was laid into the piano's hands and on dressed chorales, whose
tunes are known. What a note of the melody is worth counts for as long as it sounds in its voice, so that a voice is not
preferred for having many notes.
"""

from __future__ import annotations

# what is taken off the worth of a note, a beat
COVER = 1.1  # a note above it: the highest is heard best
FIGURE = 0.7  # it belongs to a figure that is played again and again in its place
ACCOMPANIMENT = 0.5  # its hand plays chords after basses, or one chord again and again
LEFT = 0.4  # the left hand accompanies as a rule
BASS = 0.2  # nothing but its own octaves sounds below, and other notes above
STEPS = 0.6  # what a voice that moves by step only is worth more than one of leaps only
USUAL_STEPS = 0.3  # the share of steps of which nothing follows
DOUBT = 2.0  # so many moves of the usual kind are added to those that are heard

# what a turn of the line costs
TURN = 0.6  # into another voice, of this hand or the other
PASSED_ON = 0.35  # the same, where the first voice has stopped
LEFT_HELD = 0.5  # away from a note that still sounds above
LEAP = 0.02  # a semitone beyond a fifth, into another voice

FADE = 3.0  # beats after which a held note no longer hides what moves below it
HIDES_LESS = 0.7  # how much less a note of a figure hides than another, below it in the other hand
HIDES_LESS_NEAR = 0.4  # the same in its own hand

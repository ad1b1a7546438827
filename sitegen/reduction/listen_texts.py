"""The sentences on what to listen for, by message id, with named fields: a table for catalogues of other languages.

Fields: ``bar``, ``to_bar`` are bar numbers as printed; ``note``, ``goal``, ``first``, ``last`` are note names;
``key`` is a key such as F sharp minor; ``chord`` a lead-sheet symbol; ``count`` a number in figures.
"""

SENTENCES = {
    "bass falls by step": "The bass falls by step from bar {bar}, from {first} down to {last}.",
    "bass rises by step": "The bass rises by step from bar {bar}, from {first} up to {last}.",
    "bass stays": "The bass stays on {note} from bar {bar} to bar {to_bar}, while the music above it moves.",
    "bass comes home": "In bar {bar} the bass goes from {first} to {last}: the music comes home.",
    "bass comes back": "The bass comes back to {note} {count} times, first in bar {bar}.",
    "in tenths": "Melody and bass move in parallel tenths from bar {bar}: {count} in a row.",
    "in sixths": "Melody and bass move in parallel sixths from bar {bar}: {count} in a row.",
    "in thirds": "Melody and bass move in parallel thirds from bar {bar}: {count} in a row.",
    "apart": "From bar {bar} the melody rises to {last} while the bass falls: the voices move apart.",
    "together": "From bar {bar} the melody falls to {last} while the bass rises: the voices close in.",
    "highest": "The highest note, {note}, comes in bar {bar}: hear the line climb to it.",
    "lowest": "The lowest note, {note}, comes in bar {bar}.",
    "line falls": "From bar {bar} the line falls by step from {first} to {last}.",
    "line rises": "From bar {bar} the line rises by step from {first} to {last}.",
    "leap": "The widest leap is in bar {bar}, from {first} to {last}.",
    "leans": "The {note} in bar {bar} leans on the {goal}.",
    "waits": "The {note} in bar {bar} is held over, and waits to move to the {goal}.",
    "passes": "The {note} in bar {bar} only passes by on the way to the {goal}.",
    "neighbour": "The {note} in bar {bar} is a neighbour that turns back to the {goal}.",
    "early": "The {note} in bar {bar} comes early: its chord follows after it.",
    "grace": "A grace note decorates the {goal} in bar {bar}.",
    "sign": "The {goal} in bar {bar} has a {sign}: the melody itself stays on that note.",
    "harmony quickens": "In bar {bar} the harmony changes {count} times, more often than before.",
    "harmony rests": "From bar {bar} to bar {to_bar} one chord lasts: {chord}.",
    "new key": "From bar {bar} the music is in {key}.",
    "tension": "The chord in bar {bar}, {chord}, pulls most strongly to what follows.",
    "chord returns": "The chord {chord} comes {count} times, first in bar {bar}.",
    "cadence": "The phrase that ends in bar {bar} makes a {cadence}.",
    "busiest": "Bar {bar} has the most notes, {count}, over the same ground that you know already.",
    "enters": "The line enters in bar {bar} on {note}: follow it from there.",
}

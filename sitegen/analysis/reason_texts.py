"""The sentences on why a note or a chord is what it is, by the id of a ``Reason``: a table for catalogues of other
languages.

Fields: ``note``, ``before``, ``after`` are pitches with their octave (or words: a rest); ``chord``, ``next_chord`` are
lead-sheet symbols; ``quality`` is a kind of chord, ``root`` and ``bass`` are pitches without octave, ``tones`` several
of them with commas, ``percent`` is a number in figures; all others are English words, which may hold places themselves.
"""

SENTENCES = {
    "pedal in the bass": "{note} stays in the bass while {chord} above it does not contain it.",
    "pedal above": "{note} is repeated through {chord}, which does not contain it, as an inner or upper pedal point.",
    "suspended": (
        "{note} is prepared in the chord before, suspended {accent} over {chord}, and resolves down by step to {after}."
    ),
    "retarded": (
        "{note} is prepared in the chord before, held back {accent} over {chord}, and resolves up by step to {after}."
    ),
    "before its chord": (
        "{note} comes before its chord: foreign to {chord}, it is held until {next_chord} arrives under it."
    ),
    "anticipates": (
        "{note} is foreign to {chord} and comes before its time: it anticipates the {after} of {next_chord}."
    ),
    "first of two neighbours": "{note} is one of two neighbours, above and below, that circle one note of {chord}.",
    "second of two neighbours": "{note} is one of two neighbours, above and below, that circle {after} of {chord}.",
    "leans": (
        "{note} leans {accent} against {chord}, reached by step from {before}, and resolves {left} by step to {after}."
    ),
    "passes": "{note} passes {direction} by step from {before} to {after}, {accent} against {chord}.",
    "neighbour": "{note} is the {side} neighbour of {before}, {accent} against {chord}, and returns to it.",
    "altered neighbour": (
        "{note} is the {side} neighbour of {before}, {accent} against {chord}, and turns back to {after}."
    ),
    "struck against": (
        "{note} is struck {accent} against {chord}, {approached}, and resolves {left} by step to {after}."
    ),
    "escapes": (
        "{note}, foreign to {chord}, is approached by step from {before} and left by leap the other way, to {after}."
    ),
    "neighbour of what follows": (
        "{note} is an incomplete neighbour of {after}: {accent}, foreign to {chord}, {approached}."
    ),
    "neighbour of what came": (
        "{note} is an incomplete neighbour of {before}: {accent}, foreign to {chord}, and not led on by step."
    ),
    "stays and falls": (
        "{note} is prepared in the chord before, stays on over {chord}, and resolves down by step to {after}."
    ),
    "stays and rises": (
        "{note} is prepared in the chord before, stays on over {chord}, and resolves up by step to {after}."
    ),
    "free": "{note} is foreign to {chord}, and neither its approach nor its departure explains it.",
    "held as pedal": "It is held as a pedal point under {chord}, which does not contain it.",
    "held as suspension": "It is held over {chord} as a suspension and resolves down by step to {after}.",
    "held as retardation": "It is held over {chord} as a retardation and resolves up by step to {after}.",
    "no harmony": "No harmony is found here, so the note has no function in one.",
    "grace": "{note} is a grace note.",
    "grace before": "{note} is a grace note before {after}.",
    "chord tone": "{note} is {part} of {chord}.",
    "teacher's reading": "The teacher's reading.",
    "nothing sounds": "Nothing sounds.",
    "nothing yet": "Nothing has sounded yet.",
    "no chord fits": "No harmony is found here: the notes fit no chord well.",
    "heard": "Heard: {quality} on {root}, {bass} in the bass.",
    "heard over a rest": "Heard: {quality} on {root}, while nothing sounds.",
    "six-four": "It is a six-four that leads to the dominant.",
    "notes": "Its notes: {tones}.",
    "share": "{percent}% of what sounds belongs to it.",
    "without": "Without {tones}.",
    "sure": "{percent}% sure.",
    "otherwise": "Otherwise: {quality} on {root}.",
}

CHORDS = (
    *(f"{triad} chord" for triad in ("major", "minor", "diminished", "augmented")),
    *(f"dominant {chord} chord" for chord in ("seventh", "ninth", "minor ninth")),
    *(f"{kind} seventh chord" for kind in ("augmented dominant", "minor", "major", "half-diminished", "diminished")),
    *(f"{country} sixth chord" for country in ("Italian", "German", "French")),
)
"""What ``quality`` may be."""

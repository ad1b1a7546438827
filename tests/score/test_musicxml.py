"""MusicXML: each thing a score may hold, in a few notes."""

from __future__ import annotations

import io
import zipfile
from fractions import Fraction

from sitegen.score import read_score
from tests.score.files import back, musicxml, note, read, said, tuplet

START, STOP = '<tie type="start"/>', '<tie type="stop"/>'


def test_a_compressed_file_reads_as_the_plain_one() -> None:
    text = musicxml(note("C5", 48, "whole"))
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as out:
        container = '<container><rootfiles><rootfile full-path="music/a.xml"/></rootfiles></container>'
        out.writestr("META-INF/container.xml", container)
        out.writestr("music/a.xml", text)
    plain = read(text, ".musicxml")
    assert said(read(archive.getvalue(), ".mxl")) == said(plain) == said(read(text, ".xml")) == ["C5 0 4"]


def test_title_and_composer_are_those_of_the_file() -> None:
    head = (
        "<work><work-title>Air</work-title></work><identification><creator type='composer'>Nobody</creator>"
        "</identification><part-list>"
    )
    score = read(musicxml(note("C5", 48, "whole")).replace("<part-list>", head), ".musicxml")
    assert (score.title, score.composer) == ("Air", "Nobody")


def test_an_upbeat_stands_at_the_end_of_the_metre() -> None:
    score = read(musicxml(note("G4", 12, "quarter"), note("C5", 48, "whole")), ".musicxml")
    assert [score.quarters(bar.lead) for bar in score.bars] == [3, 0]
    assert [score.quarters(score.place_in_metre(n.onset)) for n in score.notes] == [3, 0]


def test_a_bar_divided_by_a_repeat_counts_on() -> None:
    whole = note("C5", 48, "whole")
    half = note("D5", 24, "half")
    score = read(musicxml(whole, half, half, whole), ".musicxml")
    assert [(score.quarters(b.length), score.quarters(b.lead)) for b in score.bars] == [(4, 0), (2, 0), (2, 2), (4, 0)]


def test_a_tie_across_a_bar_line_is_one_note_of_two_heads() -> None:
    score = read(musicxml(note("C5", 48, "whole", START), note("C5", 48, "whole", STOP)), ".musicxml")
    assert said(score) == ["C5 0 8", ""]
    assert [head.id for head in score.notes[0].noteheads] == ["N1", "N2"]


def test_a_tie_may_lead_into_another_voice_written_before() -> None:
    first = note("r", 24, "half") + note("C5", 24, "half", STOP)
    score = read(musicxml(first + back(48) + note("C5", 24, "half", START, voice=2)), ".musicxml")
    assert said(score) == ["C5 0 4"]


def test_of_two_unisons_each_is_tied_in_its_own_voice() -> None:
    one = note("C5", 24, "half", START) + note("C5", 24, "half", STOP)
    two = note("C5", 24, "half", START, voice=2) + note("C5", 24, "half", STOP, voice=2)
    score = read(musicxml(one + back(48) + two), ".musicxml")
    assert [[h.id for h in n.noteheads] for n in score.notes] == [["N1", "N2"], ["N3", "N4"]]


def test_a_tie_into_a_second_ending_is_struck_again() -> None:
    ending = '<barline location="left"><ending number="{0}" type="start"/></barline>{1}<barline location="right">{2}'
    first = ending.format(1, note("C5", 48, "whole", STOP), '<ending number="1" type="stop"/>')
    second = ending.format(2, note("C5", 48, "whole", STOP), '<ending number="2" type="stop"/>')
    repeat = '<repeat direction="backward"/></barline>'
    score = read(musicxml(note("C5", 48, "whole", START), first + repeat, second + "</barline>"), ".musicxml")
    assert said(score) == ["C5 0 8", "", "C5 0 4"]
    assert [b.endings for b in score.bars] == [(), (1,), (2,)]
    assert [b.repeat_end for b in score.bars] == [False, True, False]


def test_a_grace_tied_to_its_note_is_that_note() -> None:
    score = read(musicxml(note("C5", None, "eighth", "<grace/>", START) + note("C5", 48, "whole", STOP)), ".musicxml")
    assert said(score, lambda n: f"{n.grace} {len(n.noteheads)}") == ["C5 0 4 False 2"]


def test_a_note_tied_to_a_grace_ends_there_and_the_next_is_struck() -> None:
    bar = (
        note("C5", 24, "half", START)
        + note("C5", None, "eighth", "<grace/>", STOP)
        + note("C5", None, "half", "<grace/>", START)
        + note("C5", 24, "half", STOP)
    )
    assert said(read(musicxml(bar), ".musicxml")) == ["C5 0 2, C5 2 2"]


def test_what_only_makes_up_for_rounding_moves_no_note_of_a_tuplet_of_nineteen() -> None:
    one = note("C5", 25, "16th", tuplet(19, 4))
    filler = "<forward><duration>1</duration></forward>"
    run = filler.join((one * 2, one * 4, one * 4, one * 4, one * 4, one))
    bar = run + note("D5", 480, "quarter")
    score = read(musicxml(bar, divisions=480, time="2/4"), ".musicxml")
    assert [score.quarters(n.onset) for n in score.notes] == [*(Fraction(k, 19) for k in range(19)), 1]


def test_rounded_divisions_are_read_as_the_triplets_they_mean() -> None:
    three = note("C5", 3, "eighth", tuplet(3, 2)) * 2 + note("C5", 4, "eighth", tuplet(3, 2))
    score = read(musicxml(three * 4, divisions=10), ".musicxml")
    onsets = [score.quarters(n.onset) for n in score.notes]
    assert onsets == sorted({k + third for k in range(4) for third in (0, onsets[1], onsets[2])})
    assert [3 * onset for onset in onsets[:3]] == [0, 1, 2]


def test_a_tuplet_in_a_tuplet_multiplies() -> None:
    outer, inner = tuplet(3, 2), tuplet(9, 4)
    bar = note("C4", 24, "quarter", outer) + note("D4", 8, "eighth", inner) * 3 + note("G4", 24, "quarter", outer)
    score = read(musicxml(bar + note("A4", 72, "half"), divisions=36), ".musicxml")
    assert said(score) == ["C4 0 2/3, D4 2/3 2/9, D4 8/9 2/9, D4 10/9 2/9, G4 4/3 2/3, A4 2 2"]


def test_voices_and_chords_keep_their_places() -> None:
    high = note("E5", 24, "half") + note("G5", 24, "half", "<chord/>") + note("r", 24, "half")
    score = read(musicxml(high + back(24) + note("C5", 24, "half", voice=2)), ".musicxml")
    assert said(score, lambda n: f"v{n.voice}") == ["E5 0 2 v1, G5 0 2 v1, C5 2 2 v2"]


def test_voices_that_overlap_in_a_bar_stand_where_the_file_says() -> None:
    bar = note("C5", 24, "half") + back(6) + note("D5", 24, "half") + note("E5", 6, "eighth")
    assert said(read(musicxml(bar), ".musicxml")) == ["C5 0 2, D5 3/2 2, E5 7/2 1/2"]


def test_graces_lead_to_their_note_and_after_graces_end_the_bar() -> None:
    bar = note("D5", None, "eighth", '<grace slash="yes"/>') + note("C5", 48, "whole")
    score = read(musicxml(bar + note("B4", None, "16th", "<grace/>")), ".musicxml")
    assert said(score, lambda n: f"{n.grace} {n.tremolo}") == [
        "D5 0 0 True False, C5 0 4 False False, B4 4 0 True False"
    ]


def test_ornaments_fermatas_and_rolled_chords_are_known_at_their_notes() -> None:
    def signs(text: str) -> str:
        return f"<notations>{text}</notations>"

    bar = (
        note("C5", 12, "quarter", signs("<ornaments><trill-mark/></ornaments>"))
        + note("D5", 12, "quarter", signs("<ornaments><turn/></ornaments>"))
        + note("E5", 12, "quarter", signs("<ornaments><inverted-mordent/></ornaments>"))
        + note("F5", 12, "quarter", signs("<fermata/><arpeggiate/>"))
    )
    notes = read(musicxml(bar), ".musicxml").notes
    assert [n.ornaments for n in notes] == [("trill",), ("turn",), ("upper mordent",), ()]
    assert [(n.fermata, n.arpeggio) for n in notes] == [(False, False)] * 3 + [(True, True)]


def test_key_metre_and_clef_change_where_they_stand() -> None:
    change = (
        "<attributes><key><fifths>-3</fifths></key><time><beats>3</beats><beat-type>8</beat-type></time>"
        "<clef><sign>F</sign><line>4</line></clef></attributes>"
    )
    middle = "<attributes><clef><sign>C</sign><line>3</line></clef></attributes>"
    first = note("C5", 24, "half") + middle + note("C4", 24, "half")
    score = read(musicxml(first, change + note("Eb3", 18, "quarter", "<dot/>")), ".musicxml")
    assert [(b.metre.name, b.fifths, b.length) for b in score.bars] == [
        ("4/4", 0, score.ticks(4)),
        ("3/8", -3, score.ticks(Fraction(3, 2))),
    ]
    assert said(score) == ["C5 0 2, C4 2 2", "Eb3 0 3/2"]
    assert [(c.sign, c.line, score.quarters(c.onset)) for c in score.clefs] == [("G", 2, 0), ("C", 3, 2), ("F", 4, 4)]


def test_a_cross_staff_note_belongs_to_its_voice_and_is_drawn_on_the_other_staff() -> None:
    bar = (
        note("C4", 24, "half") + note("E3", 24, "half", staff=2) + back(48) + note("C3", 48, "whole", voice=5, staff=2)
    )
    score = read(musicxml(bar, staves=2), ".musicxml")
    assert said(score, lambda n: f"{n.staff} {n.home_staff}") == ["C3 0 4 2 2, C4 0 2 1 1, E3 2 2 2 1"]


def test_hands_one_two_and_three_staves() -> None:
    whole = note("C5", 48, "whole")
    two = whole + back(48) + note("C3", 48, "whole", voice=5, staff=2)
    three = two + back(48) + note("C2", 48, "whole", voice=9, staff=3)
    hands = [
        [staff.hand for staff in read(musicxml(bar, staves=n), ".musicxml").staves]
        for n, bar in enumerate((whole, two, three), 1)
    ]
    assert hands == [["right"], ["right", "left"], ["right", "right", "left"]]


def test_a_singers_staff_is_no_hands() -> None:
    piano = musicxml(note("E4", 48, "whole") + back(48) + note("C3", 48, "whole", voice=5, staff=2), staves=2)
    voice = musicxml(note("G4", 48, "whole"))
    sung = voice[voice.index('<part id="P1"') : voice.index("</score-partwise>")].replace('"P1"', '"P0"')
    text = piano.replace("<part-list>", '<part-list><score-part id="P0"><part-name>Voice</part-name></score-part>')
    score = read(text.replace('<part id="P1"', sung + '<part id="P1"'), ".musicxml")
    assert [(s.hand, s.name) for s in score.staves] == [(None, "Voice"), ("right", "Piano"), ("left", "Piano")]
    assert said(score, lambda n: f"{n.staff}") == ["C3 0 4 3, E4 0 4 2, G4 0 4 1"]


def test_singers_without_a_pianist_are_one_choir_of_two_hands() -> None:
    def hands(*names: str) -> list[str | None]:
        listed = "".join(
            f'<score-part id="P-{n}"><part-name>{name}</part-name></score-part>' for n, name in enumerate(names)
        )
        music = "".join(f'<part id="P-{n}">{bar}</part>' for n, _ in enumerate(names))
        text = f'<score-partwise version="4.0"><part-list>{listed}</part-list>{music}</score-partwise>'
        return [staff.hand for staff in read(text, ".musicxml").staves]

    whole = musicxml(note("G4", 48, "whole"))
    bar = whole[whole.index("<measure") : whole.index("</part>")]
    assert hands("Soprano", "Alto", "Tenor", "Bass") == ["right", "right", "left", "left"]
    assert hands("Alto", "Tenor", "Bass") == [None, "right", "left"]
    assert hands("Voice", "Violin", "Piano", "Piano") == [None, None, "right", "left"]


def test_tremolos_are_marked_and_fill_their_time() -> None:
    def strokes(kind: str) -> str:
        return f'<notations><ornaments><tremolo type="{kind}">3</tremolo></ornaments></notations>'

    halved = tuplet(2, 1)
    bar = (
        note("C5", 24, "half", strokes("single"))
        + note("E5", 12, "half", halved, strokes("start"))
        + note("G5", 12, "half", halved, strokes("stop"))
    )
    score = read(musicxml(bar), ".musicxml")
    assert said(score, lambda n: str(n.tremolo)) == ["C5 0 2 True, E5 2 1 True, G5 3 1 True"]


def test_notes_under_an_octave_line_sound_as_the_file_says() -> None:
    line = '<direction><direction-type><octave-shift type="{}" size="8"/></direction-type></direction>'
    bar = line.format("down") + note("C6", 24, "half") + line.format("stop") + note("C5", 24, "half")
    assert said(read(musicxml(bar), ".musicxml")) == ["C6 0 2, C5 2 2"]


def test_a_cadenza_makes_its_bar_as_long_as_it_is() -> None:
    score = read(musicxml(note("C5", 12, "quarter") * 11, note("D5", 48, "whole")), ".musicxml")
    assert [score.quarters(b.length) for b in score.bars] == [11, 4]


def test_percussion_is_left_out_and_said_so() -> None:
    hit = "<note><unpitched/><duration>24</duration><voice>1</voice><type>half</type></note>"
    score = read(musicxml(hit + note("C5", 24, "half")), ".musicxml")
    assert said(score) == ["C5 2 2"]
    assert score.warnings == ("1 unpitched notes are left out",)


def test_small_and_hidden_notes_count() -> None:
    hidden = note("D5", 24, "half").replace("<note>", '<note print-object="no">')
    assert said(read(musicxml(note("C5", 24, "half", "<cue/>") + hidden), ".musicxml")) == ["C5 0 2, D5 2 2"]


def test_a_bar_of_rest_is_a_full_bar() -> None:
    rest = '<note><rest measure="yes"/><duration>36</duration><voice>1</voice></note>'
    score = read(musicxml(rest, note("C5", 36, "half", "<dot/>"), time="3/4"), ".musicxml")
    assert [score.quarters(b.length) for b in score.bars] == [3, 3]


def test_a_score_without_a_note_is_a_score() -> None:
    score = read(musicxml(""), ".musicxml")
    assert (len(score.bars), score.notes) == (1, ())


def test_missing_and_doubled_bar_numbers_do_no_harm() -> None:
    text = musicxml(note("C5", 48, "whole"), note("D5", 48, "whole"))
    doubled, missing = (
        text.replace('number="2"', 'number="1"'),
        text.replace(' number="2"', "").replace(' number="1"', ""),
    )
    assert [b.number for b in read(doubled, ".musicxml").bars] == ["1", "1"]
    assert said(read(missing, ".musicxml")) == ["C5 0 4", "D5 0 4"]


def test_the_tempo_keeps_words_and_beats() -> None:
    mark = (
        "<direction><direction-type><words>Lento</words></direction-type><direction-type><metronome><beat-unit>half"
        '</beat-unit><per-minute>40</per-minute></metronome></direction-type><sound tempo="80"/></direction>'
    )
    tempo = read(musicxml(mark + note("C5", 48, "whole")), ".musicxml").tempi[0]
    assert (tempo.text, tempo.quarters_a_minute) == ("Lento", 80)


def test_reading_twice_gives_the_same(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "a.musicxml"
    path.write_text(musicxml(note("C5", 48, "whole", START), note("C5", 48, "whole", STOP)))
    assert read_score(path) == read_score(path)

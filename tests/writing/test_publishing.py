"""MusicXML that is handed out is the same music without the layout of a page."""

from __future__ import annotations

from xml.etree import ElementTree

from sitegen.notation import without_page_layout, write_stage
from tests.notation import score_of
from tests.writing.reading_back import stage_of

EXPORTED = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <defaults><scaling><millimeters>7</millimeters><tenths>40</tenths></scaling></defaults>
  <part-list>
    <score-part id="P1"><part-name/></score-part>
    </part-list>
  <part id="P1">
    <!--====== bar one ======-->
    <measure number="1" width="339.97">
      <print new-system="yes"><system-layout><system-distance>65</system-distance></system-layout></print>
      <direction placement="below">
        <direction-type><words default-y="40.00" relative-x="-14.51" font-style="italic">poco
 a poco</words></direction-type>
        </direction>
      <note default-x="36.32" id="N1"><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>
      </measure>
    </part>
  </score-partwise>
"""


def test_what_is_handed_out_says_nothing_of_a_page() -> None:
    assert (
        without_page_layout(EXPORTED)
        == (
            '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
            '<part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1">'
            '<direction placement="below"><direction-type>'
            '<words font-style="italic">poco\n a poco</words></direction-type>'
            '</direction><note id="N1"><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>'
            "</measure></part></score-partwise>"
        )
        + "\n"
    )


def test_a_stage_that_is_handed_out_has_the_same_notes() -> None:
    score = score_of("*p C5q( D5 E5h) | G4+C5w", "C3w | C3w")
    text = write_stage(score, stage_of(score))
    plain = without_page_layout(text)
    assert len(plain) < len(text)
    before, after = (
        [ElementTree.tostring(note) for note in ElementTree.fromstring(t).iter("note")] for t in (text, plain)
    )
    assert before == after

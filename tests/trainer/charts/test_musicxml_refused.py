"""MusicXML that is broken, hostile or beyond what a chart can say: told or remarked on, never a hang or a crash."""

import io
import time
import zipfile
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.charts.xml_made import CHORD, ELEMENTS, TIME, score
from trainer.charts.library import exercise_tunes, load
from trainer.charts.musicxml import read_musicxml
from trainer.charts.musicxml_file import MAX_ENTRIES, MAX_PACKED_BYTES, MAX_XML_BYTES
from trainer.charts.musicxml_writer import write_musicxml, write_mxl
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.errors import TextError

BILLION_LAUGHS = (
    "<!DOCTYPE x [<!ENTITY a0 'ha'>" + "".join(f"<!ENTITY a{at} '{f'&a{at - 1};' * 10}'>" for at in range(1, 10)) + "]>"
)
SLOWEST_S = 10.0
"""Generous: none of these takes a second on a machine with nothing else to do."""


def packed(path: str = "score.xml", data: bytes | None = None, container: str | None = None) -> bytes:
    """A compressed score whose container names a path."""
    written = io.BytesIO()
    named = f"<container><rootfiles><rootfile full-path='{path}'/></rootfiles></container>"
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", named if container is None else container)
        archive.writestr("score.xml", score(TIME + CHORD) if data is None else data)
    return written.getvalue()


def many_entries() -> bytes:
    """An archive of more files than a score has."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        for number in range(MAX_ENTRIES + 1):
            archive.writestr(f"{number}.xml", b"")
    return written.getvalue()


def encrypted() -> bytes:
    """A compressed score whose entries say that they need a password."""
    data = bytearray(packed())
    for start in (b"PK\x03\x04", b"PK\x01\x02"):
        at = data.find(start)
        while at >= 0:
            data[at + (6 if start[2] == 3 else 8)] |= 1
            at = data.find(start, at + 4)
    return bytes(data)


HOSTILE = {
    "billion laughs": ((BILLION_LAUGHS + "<score-partwise>&a9;</score-partwise>").encode(), "an entity"),
    "a file of the machine": (
        b"<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/passwd'>]><score-partwise>&e;</score-partwise>",
        "an entity",
    ),
    "a parameter entity": (
        b"<!DOCTYPE x [<!ENTITY % e SYSTEM 'http://127.0.0.1:9/x'> %e;]><score-partwise/>",
        "an entity",
    ),
    "an unused entity": (b"<!DOCTYPE x [<!ENTITY e 'x'>]><score-partwise/>", "an entity"),
    "too deep": (b"<a>" * 100_000, "elements more than"),
    "too long": (b"<a>" + b" " * MAX_XML_BYTES, "MiB of XML"),
    "unpacked too long": (packed(data=b" " * (MAX_XML_BYTES + 1)), "of more than"),
    "packed too long": (b"PK\x03\x04" + b"x" * MAX_PACKED_BYTES, "compressed"),
    "a path out of the archive": (packed("../score.xml"), "in its container"),
    "an absolute path": (packed("/etc/passwd"), "in its container"),
    "a path of another system": (packed("C:\\score.xml"), "in its container"),
    "a path up and down": (packed("x/../../score.xml"), "in its container"),
    "a path to nothing": (packed("other.xml"), "no `other.xml`"),
    "a container without a score": (packed(container="<container/>"), "names no score"),
    "a container that laughs": (packed(container=BILLION_LAUGHS + "<container>&a9;</container>"), "an entity"),
    "no container": (packed()[:0] + many_entries()[:4] + b"x" * 40, "damaged"),
    "many entries": (many_entries(), "files in one"),
    "a password": (encrypted(), "damaged or locked"),
    "half an archive": (packed()[: len(packed()) // 2], "damaged"),
    "nothing": (b"", "an empty file"),
    "no XML": (b"| Dm7 | G7 |", "no well-formed XML"),
    "an unknown encoding": (b"<?xml version='1.0' encoding='klingon'?><a/>", "encoding"),
    "another document": (b"<html/>", "in place of a score"),
    "no part": (b"<score-partwise/>", "without parts"),
    "no chords": (score(TIME), "without chord symbols"),
    "divisions of 0": (score(TIME.replace("<divisions>1", "<divisions>0") + CHORD), "divisions that are no length"),
    "divisions below 0": (score(TIME.replace("<divisions>1", "<divisions>-4") + CHORD), "divisions that are no length"),
    "divisions that are no number": (score(TIME.replace("<divisions>1", "<divisions>nan") + CHORD), "as divisions"),
    "a meter of none": (score(TIME.replace("<beats>4", "<beats>0") + CHORD), "the meter"),
    "a meter beyond reason": (score(TIME.replace("<beats>4", "<beats>999999999") + CHORD), "the meter"),
    "a root that is no note": (score(TIME + CHORD.replace("<root-step>C", "<root-step>H")), "whose root is"),
    "repeats without end": (
        score(TIME + CHORD + "<barline><repeat direction='backward' times='9999999'/></barline>"),
        "times",
    ),
    "an ending of none": (
        score(TIME + CHORD + "<barline location='left'><ending type='start' number='x'/></barline>"),
        "an ending",
    ),
    "repeats that multiply": (
        score(*(TIME + CHORD + "<barline><repeat direction='backward' times='99'/></barline>" for _ in range(90))),
        "more than",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_refused(name: str) -> None:
    """Each hostile or broken file is told in words for the player, at once."""
    data, told = HOSTILE[name]
    started = time.perf_counter()
    with pytest.raises(TextError, match=told):
        read_musicxml(data, "lantern.mxl")
    assert time.perf_counter() - started < SLOWEST_S


def test_all_faults_are_told_with_their_measures() -> None:
    """Several faults come together, each with the number printed at its measure."""
    bad = CHORD.replace("<root-step>C", "<root-step>H")
    with pytest.raises(TextError) as told:
        read_musicxml(score(TIME + CHORD, bad, CHORD, bad), "weir.xml")
    lines = str(told.value).splitlines()
    assert [2, 4] == [fault.line for fault in told.value.faults]
    assert all(
        line.startswith(f"weir.xml, measure {number}: found") for line, number in zip(lines, (2, 4), strict=True)
    )


def test_huge_divisions_are_only_fine_ones() -> None:
    """Divisions are exact however large they are; a chord between the slots of a bar moves to the nearest one."""
    time_signature = TIME.replace("<divisions>1", f"<divisions>{10**11 - 1}")
    rest = f"<note><rest/><duration>{2 * (10**11 - 1) + 1}</duration></note>"
    chart = read_musicxml(score(time_signature + CHORD + rest + CHORD.replace(">C<", ">F<")))
    assert ["C", "F"] == [str(span.symbol) for span in unfold(chart).spans]
    assert any("read at the nearest one" in remark.text for remark in chart.remarks)


@pytest.mark.parametrize(
    ("measure", "told"),
    [
        (CHORD.replace("<harmony>", "<harmony type='alternate'>") + CHORD, "alternate"),
        (CHORD.replace("major", "Tristan"), "no symbol names"),
        (CHORD.replace("</harmony>", "<kind>minor</kind></harmony>"), "a chord over a chord"),
        (CHORD.replace("<root><root-step>C</root-step></root>", "<function>V</function>"), "without a root"),
        (CHORD + "<attributes><key><key-step>C</key-step><key-alter>1</key-alter></key></attributes>", "names no key"),
        (CHORD + "<attributes><time><senza-misura/></time></attributes>", "unmeasured"),
        (CHORD + CHORD.replace(">C<", ">D<"), "two chords at one place"),
        (CHORD + "<barline location='left'><repeat direction='forward'/></barline>", "without `:|`"),
        (CHORD + "<barline location='left'><ending type='start' number='1'/></barline>", "endings without a repeat"),
        (CHORD + "<direction><direction-type><words>{H}</words></direction-type></direction>", "no pin"),
        (CHORD + "<sound tempo='5000'/>", "a tempo of"),
        (CHORD + "<direction><sound dalsegno='yes'/></direction>", "don't fit together"),
    ],
)  # fmt: skip
def test_what_a_chart_cannot_say_is_remarked_on(measure: str, told: str) -> None:
    """What a score says and a chart can't is named with its measure, and the rest is read."""
    chart = read_musicxml(score(TIME + measure, CHORD.replace(">C<", ">E<")))
    assert any(told in remark.text for remark in chart.remarks), chart.remarks
    assert all(remark.text.startswith("measure ") for remark in chart.remarks)
    assert "E" == str(unfold(chart).spans[-1].symbol)


def test_of_a_copied_measure_of_another_length_the_start_is_kept() -> None:
    """A measure repeat over a longer measure keeps the chord that begins it, and says so."""
    longer = "<forward><duration>9</duration></forward>" + CHORD.replace(">C<", ">F<")
    longer += "<note><rest/><duration>2</duration></note>"
    repeat = "<attributes><measure-style><measure-repeat type='start'>2</measure-repeat></measure-style></attributes>"
    chart = read_musicxml(score(TIME + CHORD, longer + repeat, "", ""))
    assert [4, 11, 4, 4] == [bar.beats for section in chart.sections for bar in section.bars]
    assert any("a measure of another length" in remark.text for remark in chart.remarks)
    write_chart(chart)


@cache
def seeds() -> tuple[bytes, ...]:
    """Scores to break: two exercise tunes, plain and compressed."""
    charts = [load(name) for name, _ in exercise_tunes()[:2]]
    return (*(write_musicxml(chart).encode() for chart in charts), *(write_mxl(chart) for chart in charts))


def read_or_refused(data: bytes) -> None:
    """What can be read can be played out and written; everything else is told."""
    try:
        chart = read_musicxml(data)
    except TextError:
        return
    assert unfold(chart).spans
    write_chart(chart)
    write_musicxml(chart)


@given(st.binary(max_size=300), st.sampled_from((b"", b"<score-partwise>", b"PK\x03\x04", b"<?xml version='1.0'?>")))
def test_any_bytes_are_read_or_refused(data: bytes, start: bytes) -> None:
    """No bytes raise anything but TextError."""
    read_or_refused(start + data)


@given(st.data())
@settings(max_examples=60)
def test_scores_with_changed_bytes_are_read_or_refused(data: st.DataObject) -> None:
    """A score in which bytes were changed, put in or taken out is read or refused."""
    broken = bytearray(data.draw(st.sampled_from(range(4)).map(lambda at: seeds()[at])))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(broken) - 1))
        broken[at : at + data.draw(st.integers(0, 8))] = data.draw(st.binary(max_size=8))
    read_or_refused(bytes(broken))


@given(st.lists(st.lists(st.sampled_from(ELEMENTS), max_size=4), min_size=1, max_size=8), st.booleans())
@settings(max_examples=300)
def test_scores_of_any_elements_are_read_or_refused(measures: list[list[str]], pickup: bool) -> None:
    """Whatever stands in the measures and in which order, the score is read or refused."""
    data = score(TIME + CHORD, *("".join(measure) for measure in measures))
    read_or_refused(data.replace(b"<measure number='1'>", b"<measure number='0' implicit='yes'>") if pickup else data)

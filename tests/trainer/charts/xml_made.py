"""MusicXML made for tests, element by element."""

HEAD = "<score-partwise version='4.0'><part-list><score-part id='P1'/></part-list><part id='P1'>"
TAIL = "</part></score-partwise>"
CHORD = "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"
TIME = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"


def score(*measures: str) -> bytes:
    """A score of one part with these measures."""
    numbered = (f"<measure number='{number}'>{measure}</measure>" for number, measure in enumerate(measures, start=1))
    return (HEAD + "".join(numbered) + TAIL).encode()


def barline(inside: str, location: str = "left") -> str:
    """A barline with something in it."""
    return f"<barline location='{location}'>{inside}</barline>"


def direction(inside: str, after: str = "") -> str:
    """A direction of one type."""
    return f"<direction><direction-type>{inside}</direction-type>{after}</direction>"


def attributes(inside: str) -> str:
    """Attributes in the middle of things."""
    return f"<attributes>{inside}</attributes>"


DEGREE = "<degree><degree-value>9</degree-value><degree-type>alter</degree-type></degree>"
ELEMENTS = (
    CHORD,
    CHORD.replace("major", "dominant").replace("</harmony>", "<inversion>3</inversion><offset>1</offset></harmony>"),
    CHORD.replace("</harmony>", f"{DEGREE}</harmony>"),
    "<harmony/>",
    "<note/>",
    "<note><grace/></note>",
    "<note><duration>2</duration></note>",
    "<backup><duration>3</duration></backup>",
    "<forward><duration>9</duration></forward>",
    "<sound dacapo='yes'/>",
    "<sound fine='yes'/>",
    "<sound tocoda='x' segno='y'/>",
    barline("<repeat direction='forward'/>"),
    barline("<repeat direction='backward'/>", "right"),
    barline("<ending number='1' type='start'/>"),
    barline("<ending number='1' type='stop'/>", "right"),
    barline("<ending number='2, 3' type='start'/><segno/>"),
    barline("<coda/>", "right"),
    direction("<words>D.S. al Coda</words>"),
    direction("<words>{Bb: ii7}</words>", "<offset>7</offset>"),
    direction("<coda/>"),
    direction("<segno/>"),
    direction("<rehearsal>B</rehearsal>"),
    attributes("<time><beats>3+2</beats><beat-type>8</beat-type></time>"),
    attributes("<key><fifths>-3</fifths><mode>dorian</mode></key><divisions>7</divisions>"),
    attributes("<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"),
    attributes("<measure-style><measure-repeat type='start'>2</measure-repeat></measure-style>"),
)

"""Bytes to the tree of a MusicXML score: plain XML, or the compressed form with its container.

XML always goes through defusedxml: entities and external references are refused, a plain DOCTYPE is
let be, for most files have one. Of a compressed file only the container and the score it names are
read, in memory, never more of either than the limit; nothing is unpacked to a place of its choosing.

Source: W3C Music Notation Community Group, MusicXML 4.0 (2021), "Compressed .MXL files"; from memory.
"""

import io
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import TYPE_CHECKING
from xml.etree.ElementTree import ParseError

from trainer.charts.lexer import shortened
from trainer.errors import Fault, TextError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MAX_XML_BYTES = 8 * 1024 * 1024
"""A lead sheet takes some hundred KiB; a full score of an hour stays below this."""
MAX_PACKED_BYTES = 4 * 1024 * 1024
MAX_ENTRIES = 500
"""Files in a compressed score: the score, its parts, pictures."""
DEEPEST = 64
"""Elements within elements; a score needs about ten."""

CONTAINER = "META-INF/container.xml"
PACKED_START = b"PK\x03\x04"
SCORE_TYPES = ("", "application/vnd.recordare.musicxml+xml", "application/vnd.recordare.musicxml", "text/xml")
SCORE_TOLD = "a MusicXML score"


def score_of(data: bytes, file: str) -> "Element":
    """The root element of a score, its names without name spaces. Raises TextError."""
    if data.startswith(PACKED_START):
        data = _unpacked(data, file)
    return _tree(data, file)


def _error(file: str, found: str, expected: str, line: int = 0, column: int = 0) -> TextError:
    return TextError(file, (Fault(line, column, found, expected),))


def _tree(data: bytes, file: str) -> "Element":
    """Parse XML without entities, without anything from outside, and not too deep."""
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import iterparse

    if len(data) > MAX_XML_BYTES:
        raise _error(file, f"more than {MAX_XML_BYTES // 1024 // 1024} MiB of XML", SCORE_TOLD)
    if not data.strip():
        raise _error(file, "an empty file", SCORE_TOLD)
    root: Element | None = None
    depth = 0
    try:
        for event, element in iterparse(io.BytesIO(data), events=("start", "end")):
            root = element if root is None else root
            depth += 1 if event == "start" else -1
            if depth > DEEPEST:
                raise _error(file, f"elements more than {DEEPEST} deep in one another", SCORE_TOLD)
            if event == "end" and "}" in element.tag:
                element.tag = element.tag.rpartition("}")[2]
    except DefusedXmlException:
        raise _error(file, "an entity or a reference to another file", "a score that stands by itself") from None
    except ParseError as error:
        line, column = error.position
        told = f"no well-formed XML ({str(error).partition(':')[0]})"
        raise _error(file, told, SCORE_TOLD, line, column + 1) from None
    except (LookupError, ValueError) as error:
        raise _error(file, f"an encoding that can't be read ({shortened(str(error))})", "UTF-8") from None
    if root is None:
        raise _error(file, "no element", SCORE_TOLD)
    return root


def _unpacked(data: bytes, file: str) -> bytes:
    """The score within a compressed file."""
    if len(data) > MAX_PACKED_BYTES:
        raise _error(file, f"more than {MAX_PACKED_BYTES // 1024 // 1024} MiB, compressed", "a compressed score")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if len(packed.infolist()) > MAX_ENTRIES:
                raise _error(file, f"more than {MAX_ENTRIES} files in one", "a compressed score")
            container = _tree(_entry(packed, CONTAINER, file), f"{file}: {CONTAINER}")
            return _entry(packed, _score_name(container, file), file)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError) as error:
        told = shortened(str(error)) or type(error).__name__
        raise _error(file, f"a damaged or locked compressed file ({told})", "a compressed score") from None


def _score_name(container: "Element", file: str) -> str:
    """The path of the first score that a container names."""
    for found in _named(container):
        path = PurePosixPath(found)
        if "\\" in found or ":" in found or "\0" in found or path.is_absolute() or ".." in path.parts:
            raise _error(file, f"`{shortened(found)}` in its container", "a path within the compressed file")
        return found
    raise _error(file, "a container that names no score", f"`<rootfile full-path=…>` in {CONTAINER}")


def _named(container: "Element") -> Iterator[str]:
    for rootfile in container.iter("rootfile"):
        path = rootfile.get("full-path", "")
        if path and rootfile.get("media-type", "") in SCORE_TYPES:
            yield path


def _entry(packed: zipfile.ZipFile, name: str, file: str) -> bytes:
    """The bytes of one file in a compressed score, counted while they are unpacked."""
    if name not in packed.namelist():
        raise _error(file, f"no `{shortened(name)}` in the compressed file", "a compressed score")
    with packed.open(name) as stream:
        data = stream.read(MAX_XML_BYTES + 1)
    if len(data) > MAX_XML_BYTES:
        told = f"`{shortened(name)}` of more than {MAX_XML_BYTES // 1024 // 1024} MiB"
        raise _error(file, told, "a compressed score")
    return data

"""From bytes to an element tree, with nothing let in that could hurt: the guard before the reading.

Nothing outside the file is opened: external entities and document types are refused or not loaded,
the network is off. Size is capped before and after unzipping. libxml2's own limits stay on (depth
256, 10 MB of text in one node, amplification by entities).
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

from lxml import etree

from prep.errors import InputError
from prep.svg import limits

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
XHTML = "http://www.w3.org/1999/xhtml"
XML = "http://www.w3.org/XML/1998/namespace"

Element = etree._Element

_OTHERS = (
    (b"\x89PNG", "a PNG picture, made of dots"),
    (b"\xff\xd8\xff", "a JPEG picture, made of dots"),
    (b"GIF8", "a GIF picture, made of dots"),
    (b"RIFF", "a WebP picture, made of dots"),
    (b"II*\0", "a TIFF picture, made of dots"),
    (b"MM\0*", "a TIFF picture, made of dots"),
    (b"%PDF", "a PDF"),
    (b"%!PS", "a PostScript file"),
    (b"PK\x03\x04", "a ZIP archive"),
)
"""How files begin that are sent in place of an SVG."""
_DEFAULT = re.compile(r"""<!ATTLIST (\S+) (\S+) [^"'>]*["']""")
_OF_LINKS = frozenset(
    f"xlink:{one}" for one in ("type", "role", "arcrole", "title", "show", "actuate")
)
_NUMBER = "data-number-for-messages"
_GZIP_BITS = 31
_PIECE = 4096  # unzips to some 4 MB at most; small, for what follows a member is copied
_GZIP = b"\x1f\x8b"
_OUTSIDE = re.compile(r"<!ENTITY\s+(?:%|[^\s>]+\s+(?:SYSTEM|PUBLIC)\b)", re.IGNORECASE)


def unzipped(data: bytes, name: str) -> bytes:
    """Give the bytes of the drawing, unzipped when they are gzipped.

    :raises InputError: empty, too large, or a damaged archive
    """
    if len(data) > limits.FILE_BYTES:
        raise InputError(
            f"has {len(data) / 2**20:.0f} MB; at most {limits.FILE_BYTES // 2**20} MB are read",
            where=name,
            do="simplify the drawing",
        )
    if not data.strip():
        raise InputError("is empty", where=name, do="export it again")
    if not data.startswith(_GZIP):
        return data
    plain = bytearray()
    try:
        for piece in _inflated(data):
            plain += piece
            if len(plain) > limits.UNZIPPED_BYTES:
                raise InputError(
                    f"holds more than {limits.UNZIPPED_BYTES // 2**20} MB when unzipped",
                    where=name,
                    do="simplify the drawing",
                )
    except zlib.error as error:
        raise InputError(
            f"is a damaged gzip file ({error})", where=name, do="export it again"
        ) from error
    except EOFError as error:
        raise InputError(
            "is a gzip file that ends too soon", where=name, do="export it again"
        ) from error
    return bytes(plain)


def _inflated(data: bytes) -> Iterator[bytes]:
    """Unzip all members of a gzip file (RFC 1952, 2.2), in pieces; zeros may fill up its end.

    :raises zlib.error: damaged, or followed by anything else
    :raises EOFError: it ends within a member
    """
    inflate, whole = zlib.decompressobj(wbits=_GZIP_BITS), False
    for at in range(0, len(data), _PIECE):
        rest = data[at : at + _PIECE]
        while rest:
            if whole:
                rest = rest.lstrip(b"\0")
                if not rest:
                    break
                inflate, whole = zlib.decompressobj(wbits=_GZIP_BITS), False
            yield inflate.decompress(rest)
            rest, whole = inflate.unused_data, inflate.eof
    if not whole:
        raise EOFError


def parse(data: bytes, name: str) -> Element:
    """Parse a drawing and give its root element.

    :param data: the file as it is, gzipped or not
    :param name: for messages
    :raises InputError: not XML, not SVG, or it asks for something outside the file
    """
    data = unzipped(data, name)
    for start, kind in _OTHERS:
        if data.startswith(start):
            raise InputError(
                f"is {kind}, not SVG", where=name, do="ask for the drawing itself as SVG"
            )
    for text in _as_text(data):
        if _OUTSIDE.search(text):
            raise InputError(
                "declares an entity that lies outside the file, and nothing outside is ever opened",
                where=name,
                do="export it again as plain SVG",
            )
    parser = etree.XMLParser(
        resolve_entities="internal",  # type: ignore[arg-type]  # the stubs lag behind lxml 5
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        attribute_defaults=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=False,  # one may name a style sheet
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise InputError(
            f"is not a whole SVG: {_first_line(error)}",
            where=name,
            do="export it again as SVG",
        ) from error
    except (ValueError, LookupError) as error:
        raise InputError(
            f"can't be decoded ({_first_line(error)})", where=name, do="export it again as SVG"
        ) from error
    if root is None:
        raise InputError("holds no element", where=name, do="export it again as SVG")
    for owner, attribute in _defaults(root):
        raise InputError(
            f'gives each {owner} a default "{attribute}" in its document type, which few viewers heed',
            where=name,
            do="export it again as plain SVG",
        )
    etree.strip_elements(root, etree.PI, with_tail=False)
    count = sum(1 for _ in root.iter())
    if count > limits.ELEMENTS:
        raise InputError(
            f"has {count} elements; at most {limits.ELEMENTS} are read",
            where=name,
            do="simplify the drawing",
        )
    if root.tag != f"{{{SVG}}}svg":
        if root.tag == "svg":
            what = "doesn't say that it is SVG: its root has no namespace"
            do = f'export it again, or add xmlns="{SVG}" to it'
        else:
            what = f'is not SVG: its root is "{local_name(root)}"'
            do = "give an SVG file"
        raise InputError(what, where=name, do=do)
    _number(root)
    return root


def _defaults(root: Element) -> Iterator[tuple[str, str]]:
    """Give the attributes that the document type sets where they aren't written: element and name."""
    tree = root.getroottree()
    if tree.docinfo.internalDTD is None:
        return
    # lxml lists attributes of declared elements alone; what libxml2 writes has each on a line
    for owner, attribute in _DEFAULT.findall(etree.tostring(tree, encoding="unicode")):
        if not attribute.startswith("xmlns") and attribute not in _OF_LINKS:
            yield owner, attribute


def _number(root: Element) -> None:
    """Write each element's number among its siblings on it: counting anew for each takes too long."""
    for parent in root.iter(etree.Element):
        for number, child in enumerate(children(parent), start=1):
            child.set(_NUMBER, str(number))


def local_name(element: Element) -> str:
    """Give the tag without its namespace."""
    return str(element.tag).rpartition("}")[2]


def namespace(element: Element) -> str:
    """Give the namespace of the tag, empty if it has none."""
    tag = str(element.tag)
    return tag[1:].partition("}")[0] if tag.startswith("{") else ""


def hint(element: Element) -> str:
    """Say how to find an element: ``path "mast", line 12``.

    One without an id among others on its line is counted: ``path 3 of g "sails", line 1``.
    """
    identity = element.get("id")
    name = f'{local_name(element)} "{identity[:60]}"' if identity else local_name(element)
    if not identity and _shares_its_line(element):
        name = _counted(element)
    return f"{name}, line {element.sourceline}" if element.sourceline else name


def _shares_its_line(element: Element) -> bool:
    around = (element.getparent(), element.getprevious(), element.getnext())
    return any(one is not None and one.sourceline == element.sourceline for one in around)


def _counted(element: Element) -> str:
    """Name an element by its number within each one around it, up to one with an id."""
    names = []
    at = element
    while (parent := at.getparent()) is not None and not at.get("id"):
        names.append(f"{local_name(at)} {at.get(_NUMBER, '')}")
        at = parent
    identity = at.get("id")
    names.append(f'{local_name(at)} "{identity[:60]}"' if identity else local_name(at))
    return " of ".join(names)


def outer_sheets(root: Element) -> list[str]:
    """Give what names a style sheet in front of the drawing, as written."""
    return [
        str(one)[:120]
        for one in root.itersiblings(etree.PI, preceding=True)
        if getattr(one, "target", "").lower() == "xml-stylesheet"
    ]


def children(element: Element) -> Iterator[Element]:
    """Give the child elements, without comments and the like."""
    return element.iterchildren(tag=etree.Element)


def href(element: Element) -> str | None:
    """Give what the element refers to; ``href`` goes before ``xlink:href``."""
    value = element.get("href")
    return value if value is not None else element.get(f"{{{XLINK}}}href")


def _as_text(data: bytes) -> Iterator[str]:
    """Give the prolog, decoded in every way that could hide a declaration."""
    head = data[: 2**20]
    if b"<!ENTITY" in head.upper() or b"%" in head[:4096]:
        yield head.decode("latin-1")
    if b"\x00" in head[:64]:
        for encoding in ("utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be"):
            yield head.decode(encoding, errors="ignore")


def _first_line(error: Exception) -> str:
    lines = str(error).strip().splitlines()
    said = lines[0].replace(" (<string>, line ", "\0").partition("\0")[0] if lines else ""
    return said[:120] or type(error).__name__

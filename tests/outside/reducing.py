"""Makes a failing drawing smaller: takes elements, attributes and bytes away while it still fails."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator

from lxml import etree

Fails = Callable[[bytes], bool]


def reduced(data: bytes, fails: Fails, tries: int = 300) -> bytes:
    """Give a smaller drawing that fails, too.

    :param fails: says whether a drawing fails as the first one did
    :param tries: how often it may be asked
    """
    left = [tries]

    def still(candidate: bytes) -> bool:
        left[0] -= 1
        return left[0] >= 0 and fails(candidate)

    try:
        etree.fromstring(data)
    except (etree.XMLSyntaxError, ValueError):
        return _fewer_bytes(data, still)
    return _fewer_elements(data, still, left)


def _fewer_elements(data: bytes, still: Fails, left: list[int]) -> bytes:
    changed = True
    while changed and left[0] > 0:
        changed, number = False, 0
        steps = list(_steps(etree.fromstring(data)))
        while number < len(steps) and left[0] > 0:
            # the outermost elements come first: they take most with them
            if len(steps[number]) < len(data) and still(steps[number]):
                data, changed = steps[number], True
                steps = list(_steps(etree.fromstring(data)))
            else:
                number += 1
    return data


def _steps(root: etree._Element) -> Iterator[bytes]:
    """Give the drawing less each element, each element's tags alone, and each attribute."""
    count = sum(1 for _ in root.iter(etree.Element))

    def numbered(number: int) -> tuple[etree._Element, etree._Element]:
        again = copy.deepcopy(root)
        return again, list(again.iter(etree.Element))[number]

    for number in range(1, count):
        again, element = numbered(number)
        parent = element.getparent()
        assert parent is not None
        parent.remove(element)
        yield etree.tostring(again)
    for number in range(1, count):
        again, element = numbered(number)
        parent = element.getparent()
        assert parent is not None
        if len(element):
            at = parent.index(element)
            parent[at : at + 1] = list(element)
            yield etree.tostring(again)
    for number, element in enumerate(root.iter(etree.Element)):
        for name in element.attrib:
            again, same = numbered(number)
            del same.attrib[name]
            yield etree.tostring(again)


def _fewer_bytes(data: bytes, still: Fails) -> bytes:
    size = len(data) // 2
    while size:
        at = 0
        while at < len(data):
            candidate = data[:at] + data[at + size :]
            if candidate and still(candidate):
                data = candidate
            else:
                at += size
        size //= 2
    return data

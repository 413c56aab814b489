"""Drawings by dice: random trees of what SVG is made of, on which the renderer can be trusted.

Shapes, groups, transforms, styles (attributes, style attributes and rules), clips, masks, uses and symbols,
nested viewports, markers, switches and strokes with dashes, joins and caps. Shapes that may bend tighter
than their pen get mostly thin and always solid lines: there the renderer leaves holes in wide strokes and
measures dashes coarsely (wide strokes on tight bends are compared with buffers in the tests of strokes).
"""

from __future__ import annotations

import random
from collections.abc import Mapping

_COLOURS = (
    *("#1f3a5f", "#D64550", "#2e7d32", "#fc0", "black", "white", "Teal", "currentColor"),
    *("rgb(200, 30 ,40)", "rgb(10% 60% 30%)", "hsl(40 90% 50%)", "hsl(200,50%,40%)"),
)
_PAINTS = (*_COLOURS, "none")
_FITTINGS = (
    *("none", "xMinYMin", "xMaxYMid slice", "xMidYMax meet", "xMidYMid slice"),
    "xMinYMax slice",
)
_SELECTORS = (
    *("rect", "path", ".a", ".b", "#u0", "g rect", "g > path", ".a.b", "svg .c", "circle, .c"),
    *('[class="a"]', "g .b", "use", "*", "line.a", "symbol > path", "rect:first-child"),
)
_UNITS = (*[("", 1.0)] * 5, ("px", 1.0), ("mm", 3.78), ("pt", 4 / 3), ("%", 1.0))
_PAGES = (
    'width="100mm" height="100mm" viewBox="0 0 100 100"',
    'width="120mm" height="90mm" viewBox="-5 0 110 100"',
    'width="100mm" height="100mm" viewBox="0 0 100 80" preserveAspectRatio="xMinYMax slice"',
    'width="360" height="360"',
)
_HIDING = ("display", "visibility")
_SIDES = ("width", "height")
_COUNT = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 2}
_CLIPS, _MASKS, _MARKERS, _SYMBOLS, _USED = 3, 2, 2, 2, 3


class Writer:
    """Writes one drawing.

    :param marked: whether shapes bear markers, or are cut by their bounding boxes: where both are, the
        renderer counts markers as part of the box (SVG 2, 8.10 doesn't)
    """

    def __init__(self, dice: random.Random, *, marked: bool) -> None:
        self.dice, self.marked = dice, marked
        self.units = _UNITS
        self.boxed: set[str] = set()

    def maybe(self, percent: int) -> bool:
        """Say yes so often."""
        return self.dice.randint(0, 99) < percent

    def pick(self, *choices: str) -> str:
        """Take one."""
        return self.dice.choice(choices)

    def some(self, choices: tuple[str, ...], most: int) -> list[str]:
        """Take up to so many, none twice; what stands there more often is taken more often."""
        taken = self.dice.sample(choices, self.dice.randint(0, most))
        return list(dict.fromkeys(taken))

    def number(self, low: int, high: int) -> str:
        """Write a number in one of the ways SVG knows."""
        value = self.dice.randint(low * 10, high * 10)
        way = self.dice.randint(0, 7)
        if way == 0:
            return f"{value}e-1"
        if way == 1 and value > 0:
            return f"+{value / 10:g}"
        if way == 2:
            return f"{value / 10:.3f}"
        return f"{value / 10:g}" if way < 5 else str(value // 10)

    def size(self, low: int, high: int) -> str:
        """Write a length, perhaps with a unit, of about so many user units."""
        unit, per = self.dice.choice(self.units)
        value = self.dice.randint(low, high)
        return f"{value / per:.3g}{unit}"

    @staticmethod
    def joined(attributes: Mapping[str, str]) -> str:
        """Write attributes."""
        return "".join(f' {name}="{value}"' for name, value in attributes.items())

    def transform(self) -> str:
        """Write a list of transforms."""
        made = []
        for _ in range(self.dice.randint(1, 2)):
            x, y = (self.dice.randint(-30, 30) for _ in range(2))
            factor = self.pick("0.5", "1.5", "-1", ".8", "2")
            made.append(
                self.pick(
                    f"translate({x} {y})",
                    f"translate({x})",
                    f"rotate({x * 6} 50 50)",
                    f"rotate({y})",
                    f"scale({factor})",
                    f"scale({factor}, {self.pick('1', '.7', '-1.2')})",
                    f"skewX({x})",
                    f"skewY({y})",
                    f"matrix(1 .2 -.3 {factor} {x} {y})",
                )
            )
        return self.pick(" ", ",").join(made)

    def pen(self, *, bent: bool, thin: bool) -> dict[str, str]:
        """Give some properties of a stroke."""
        share = "5%" if self.units is _UNITS else "3"
        # where reading and renderer differ on wide strokes, paths are said in straight lines, but for
        # those that bear markers
        thin = thin or (bent and (self.marked or self.maybe(70)))
        dashes = ("none",)
        if not bent:
            dashes += ("9.3 5.1", "4.7", "20.3,3.1 1.7 3.3", "0 6.3", share)
        given = {
            "stroke": self.pick(*_PAINTS),
            "stroke-width": self.pick(
                *(("1", "0.5") if thin else ("1", "12", "2mm", share, ".3em"))
            ),
            "stroke-linecap": self.pick("butt", "round", "square"),
            "stroke-linejoin": self.pick("miter", "round", "bevel"),
            "stroke-miterlimit": self.pick("1", "2", "10", "4"),
            "stroke-dasharray": self.pick(*dashes),
            "stroke-dashoffset": self.pick("0", "3.37", "-7.13"),
        }
        if given["stroke-linecap"] == "square" and given["stroke-dasharray"].startswith("0 "):
            given["stroke-linecap"] = "round"
        if given["stroke-linejoin"] == "bevel" and given["stroke-dasharray"] != "none":
            # where a dash ends close behind a corner the renderer leaves out a part of the corner
            given["stroke-linejoin"] = "round"
        names = self.some(tuple(sorted(given)), 7)
        if bent:
            # in a set order: that of a set of words is another in each run of the interpreter
            names += [one for one in ("stroke-width", "stroke-dasharray") if one not in names]
        return {name: given[name] for name in names}

    def look(self, *, bent: bool, thin: bool = False) -> dict[str, str]:
        """Give some properties of fill and stroke, and what shows at all."""
        given = self.pen(bent=bent, thin=thin)
        others = {
            "fill": self.pick(*_PAINTS),
            "fill-rule": self.pick("nonzero", "evenodd"),
            "paint-order": self.pick("normal", "stroke", "markers fill", "markers stroke"),
            "color": self.pick("#224466", "tomato"),
            "visibility": self.pick("visible", "visible", "hidden"),
            "display": self.pick("inline", "block", "inline", "none"),
            "opacity": self.pick("1", "1.0", "100%", "1", "0"),
            "fill-opacity": self.pick("1", "100%"),
            "font-size": self.pick("20px", "150%"),
        }
        likely = [*["fill"] * 5, "fill-rule", "paint-order", *others]
        for name in self.some(tuple(likely), 4):
            given[name] = others[name]
        return given

    def attributes(
        self,
        *,
        bent: bool = False,
        thin: bool = False,
        group: bool = False,
        links: bool = True,
        cut: bool = True,
    ) -> str:
        """Write an element's look, transform, class and links, here as attributes and there as a style.

        :param links: whether it may be clipped, masked and marked
        :param cut: whether it may be clipped and masked
        """
        given = self.look(bent=bent, thin=thin)
        if group:  # shares would be inherited by symbols, which the renderer takes of the page
            given = {name: value for name, value in given.items() if value != "5%"}
        styled = {name: value for name, value in given.items() if self.maybe(30)}
        made = {name: value for name, value in given.items() if name not in styled}
        if styled:
            made["style"] = ";".join(f" {name}:{value}" for name, value in styled.items())
        if self.maybe(35):
            made["transform"] = self.transform()
            if self.maybe(10):
                shares = ("center", "25% 75%") if self.units is _UNITS else ()
                made["transform-origin"] = self.pick("50 50", "10px 20px", *shares)
        if self.maybe(20):
            made["class"] = self.pick("a", "b", "c", "a b", "c a")
        if links and cut and self.maybe(15):
            self.link(made, "clip-path", f"c{self.dice.randint(0, _CLIPS - 1)}", group=group)
        if links and cut and self.maybe(8):
            self.link(made, "mask", f"m{self.dice.randint(0, _MASKS - 1)}", group=group)
        if links and self.marked and self.maybe(25):
            where = self.pick("marker-start", "marker-mid", "marker-end")
            made[where] = f"url(#k{self.dice.randint(0, _MARKERS - 1)})"
        if group:
            made.pop("display", None)
        return self.joined(made)

    def link(self, made: dict[str, str], name: str, target: str, *, group: bool) -> None:
        """Cut an element by a clip path or mask."""
        # of turned shapes in a group the renderer takes the boxes' boxes (SVG 2, 8.10: their own)
        if not (group and target in self.boxed):
            made[name] = f"url(#{target})"

    def path_data(self) -> str:
        """Write path data of a few sub-paths."""
        words = []
        # the renderer turns markers otherwise on curves that set out from a control point, and on the
        # vertex that closes a path (SVG 2, 13.7.4 takes the middle of both directions there), and puts some
        # within arcs, where no vertex is
        letters = "LlHhVvCcQq" if self.marked else "LlHhVvCcSsQqTtAa"
        # the renderer puts no marker where a sub-path closes and another follows (SVG 2, 13.7.4 does)
        for _ in range(1 if self.marked else self.dice.randint(1, 3)):
            words.append(f"{self.pick('M', 'M', 'm')}{self.number(0, 100)} {self.number(0, 100)}")
            for letter in self.dice.choices(letters, k=self.dice.randint(1, 5)):
                low, high = (-40, 40) if letter.islower() else (-10, 110)
                points = [self.number(low, high) for _ in range(_COUNT[letter.upper()])]
                if letter in "Aa":
                    # the renderer rounds the tips of needle-thin ellipses off
                    radii = f"{self.dice.randint(20, 60)} {self.dice.randint(20, 60)}"
                    flags = f"{self.pick('0', '1')} {self.pick('0', '1')}"
                    points.insert(0, f"{radii} {self.dice.randint(0, 90)} {flags}")
                words.append(letter + self.pick(" ", ",").join(points))
            if not self.marked and self.maybe(50):
                words.append(self.pick("z", "Z"))
        return "".join(words)

    def place(self, *names: str) -> str:
        """Write coordinates."""
        return self.joined({name: self.size(-10, 110) for name in names if self.maybe(90)})

    def measure(self, *names: str) -> str:
        """Write widths, heights and radii."""
        return self.joined({name: self.size(1, 60) for name in names if self.maybe(95)})

    def shape(self, more: str = "", *, links: bool = True) -> str:
        """Write one shape."""
        # markers belong to lines and paths alone
        kind = self.dice.randint(5 if self.marked else 0, 9)
        if kind in (0, 1, 5, 6):
            straight = self.attributes(links=links) + more
        else:
            bent = self.attributes(bent=True, thin=kind < 5, links=links) + more
        if kind <= 1:
            return f"<rect{self.place('x', 'y')}{self.measure('width', 'height')}{straight}/>"
        if kind == 2:
            radii = self.measure(*self.dice.choice((("rx",), ("ry",), ("rx", "ry"))))
            return f"<rect{self.place('x', 'y')}{self.measure('width', 'height')}{radii}{bent}/>"
        if kind == 3:
            return f"<circle{self.place('cx', 'cy')}{self.measure('r')}{bent}/>"
        if kind == 4:
            return f"<ellipse{self.place('cx', 'cy')}{self.measure('rx', 'ry')}{bent}/>"
        if kind == 5:
            return f"<line{self.place('x1', 'y1', 'x2', 'y2')}{straight}/>"
        if kind == 6:
            points = [self.number(0, 100) for _ in range(2 * self.dice.randint(2, 6))]
            tag = "polyline" if self.marked else self.pick("polygon", "polyline")
            return f'<{tag} points="{self.pick(" ", ",").join(points)}"{straight}/>'
        return f'<path d="{self.path_data()}"{bent}/>'

    def view(self) -> str:
        """Write a view box and how it fits, or neither."""
        if self.maybe(25):
            return ""
        x, y = self.dice.randint(-20, 20), self.dice.randint(-20, 20)
        box = f' viewBox="{x} {y} {self.dice.randint(30, 150)} {self.dice.randint(30, 150)}"'
        fitting = f' preserveAspectRatio="{self.pick(*_FITTINGS)}"' if self.maybe(50) else ""
        return box + fitting

    def element(self, depth: int) -> str:
        """Write an element and what is in it."""
        kind = self.dice.randint(0, 19)
        if depth <= 0 or kind < 9:
            return self.shape()
        if kind < 13:
            tag = self.pick("g", "g", "g", "a")
            return f"<{tag}{self.attributes(group=True)}>{self.inside(depth - 1)}</{tag}>"
        if kind < 16:
            target = self.pick(
                *(f"u{n}" for n in range(_USED)), *(f"s{n}" for n in range(_SYMBOLS))
            )
            sides = ""
            if self.maybe(40):
                # the renderer takes a percentage of a percentage here (SVG 2, 5.5.2)
                sides = self.joined({n: str(self.dice.randint(9, 99)) for n in _SIDES})
            # the renderer doesn't move a clip along with the x and y of a use of a symbol (SVG 2, 5.5)
            # and places a symbol wrongly by percentages
            self.units, units = _UNITS[:-1], self.units
            where = self.place("x", "y") if self.maybe(60) else ""
            self.units = units
            more = where + sides + self.attributes(group=True, cut=not where)
            return f'<use {self.pick("href", "xlink:href")}="#{target}"{more}/>'
        if kind < 18:
            over = f' overflow="{self.pick("visible", "hidden")}"' if self.maybe(25) else ""
            # the renderer doesn't clip where only one of both sizes is given (SVG 2, 5.1.2 and 8.2)
            sides = self.joined({name: self.size(5, 60) for name in _SIDES})
            frame = self.place("x", "y") + sides
            return f"<svg{frame}{self.view()}{over}>{self.inside(depth - 1)}</svg>"
        if kind == 18:
            asked = [self.pick(' systemLanguage="de"', ' systemLanguage="en-GB, fr"', "", "")]
            asked.append(self.pick(' systemLanguage="de"', ' requiredExtensions="x"', ""))
            branches = "".join(f"<g{one}>{self.inside(depth - 1)}</g>" for one in asked)
            return f"<switch>{branches}{self.shape()}</switch>"
        hidden = self.pick("defs", "symbol", "metadata")
        return f"<{hidden}>{self.shape()}</{hidden}>{self.shape()}"

    def inside(self, depth: int) -> str:
        """Write a few elements."""
        return "".join(self.element(depth) for _ in range(self.dice.randint(1, 3)))

    def clip(self, name: str, inner: str) -> str:
        """Write a clip path; it may itself be clipped by the one before it."""
        units = "userSpaceOnUse"
        if not self.marked:
            units = self.pick(units, "objectBoundingBox", units)
        made = {"id": name, "clipPathUnits": units}
        if self.maybe(20):
            made["transform"] = self.transform()
        # a clip by a box within a clip the renderer takes for all from the first that is cut by it
        if inner and inner not in self.boxed and self.maybe(25):
            made["clip-path"] = f"url(#{inner})"
        if units == "objectBoundingBox":
            self.boxed.add(name)
            body = self.pick(
                '<circle cx=".5" cy=".5" r=".5"/>',
                '<path d="M0 0H1V.6H.3z"/>',
                '<rect x=".1" y=".2" width=".7" height=".9" rx=".1"/>',
            )
        else:
            rule = f' clip-rule="{self.pick("evenodd", "nonzero")}"'
            body = "".join(self.shape(rule, links=False) for _ in range(self.dice.randint(1, 2)))
            if self.maybe(20):
                body += f'<use href="#p"{self.place("x", "y")}/>'
        return f"<clipPath{self.joined(made)}>{body}</clipPath>"

    def mask(self, name: str) -> str:
        """Write a mask of black and white shapes."""
        made = {"id": name}
        placed = self.marked or self.maybe(40)
        if placed:
            made |= {
                "maskUnits": "userSpaceOnUse",
                "x": "0",
                "y": "0",
                "width": "90",
                "height": "80",
            }
        content = not self.marked and self.maybe(30)
        if content or not placed:
            self.boxed.add(name)
        if content:
            made["maskContentUnits"] = "objectBoundingBox"
        if self.maybe(20):
            made["mask-type"] = self.pick("alpha", "luminance")
        parts = []
        for _ in range(self.dice.randint(1, 3)):
            x, y, w, h = (self.dice.randint(0, 80) for _ in range(4))
            if content:
                x, y, w, h = x / 100, y / 100, w / 100, h / 100  # type: ignore[assignment]  # shares now
            fill = self.pick("#fff", "white", "black", "#ffffff")
            parts.append(f'<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="{fill}"/>')
        return f"<mask{self.joined(made)}>{''.join(parts)}</mask>"

    def marker(self, name: str) -> str:
        """Write a marker."""
        made = {"id": name}
        # of the proportions of the view box: else some clip to it, others to the tile (SVG 2, 13.7.3)
        if self.maybe(50):
            made["viewBox"] = self.pick("0 0 10 10", "-2 -2 8 8", "0 0 4 4")
            made |= {"markerWidth": "5", "markerHeight": "5"}
        elif self.maybe(60):
            made |= {"markerWidth": str(self.dice.randint(2, 9)), "markerHeight": "6"}
        if self.maybe(50):
            made |= {"refX": str(self.dice.randint(-2, 5)), "refY": self.pick("2", "1.5")}
        if self.maybe(60):
            made["orient"] = self.pick("auto", "auto-start-reverse", "30", "90deg")
        if self.maybe(30):
            made["markerUnits"] = self.pick("userSpaceOnUse", "strokeWidth")
        if self.maybe(30):
            made["overflow"] = "visible"
        fill = self.pick("context-fill", "context-stroke", "#a03", "#0a3", "#0a3")
        body = self.pick("M0 0L6 3 0 6z", "M0 0h4v3h-4z", "M1 1L9 5 1 9V6L4 5 1 4z")
        return f'<marker{self.joined(made)}><path d="{body}" fill="{fill}"/></marker>'

    def sheet(self) -> str:
        """Write a style sheet."""
        rules = []
        # of several important ones the renderer takes the last (CSS Cascading 4, 6.1: the most specific)
        weighty = self.dice.randint(-9, 3)
        for selector in self.some(_SELECTORS, 4):
            given = self.look(bent=True, thin=True)
            given = {n: v for n, v in given.items() if n not in _HIDING and v != "5%"}
            important = " !important" if len(rules) == weighty else ""
            rules.append(
                f"{selector} {{{';'.join(f'{n}: {v}{important}' for n, v in given.items())}}}"
            )
        return f"<style>{' '.join(rules)}</style>" if rules else ""

    def drawing(self) -> bytes:
        """Write the whole drawing."""
        # within a symbol the renderer takes percentages of the page (SVG 2, 8.9: of its view box)
        self.units = _UNITS[:-1]
        defined = ['<path id="p" d="M0 0h20v10l-10 10z"/>']
        defined += [self.clip(f"c{n}", f"c{n - 1}" if n else "") for n in range(_CLIPS)]
        defined += [self.mask(f"m{n}") for n in range(_MASKS)]
        if self.marked:
            defined += [self.marker(f"k{n}") for n in range(_MARKERS)]
        for n in range(_SYMBOLS):
            # of one that overflows the renderer doesn't turn the mask along with its use (SVG 2, 5.5)
            inner = "".join(self.shape() for _ in range(self.dice.randint(1, 2)))
            defined.append(f'<symbol id="s{n}"{self.view()}>{inner}</symbol>')
        for n in range(_USED):
            inner = "".join(self.shape() for _ in range(self.dice.randint(1, 2)))
            lone = self.pick("g", "g", "svg")
            frame = ' width="60" height="50"' if lone == "svg" else ""
            defined.append(f'<{lone} id="u{n}"{frame}>{inner}</{lone}>')
        self.units = _UNITS
        page = self.pick(_PAGES[0], *_PAGES)
        hue = self.pick("#111111", "teal")
        parts = [self.sheet(), f"<defs>{''.join(defined)}</defs>", self.inside(3), self.inside(2)]
        if self.maybe(20):
            parts.reverse()  # what is used may stand after its use, and rules after what they are for
        space = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        return f'<svg {space} {page} color="{hue}">{"".join(parts)}</svg>'.encode()


def random_drawing(dice: random.Random) -> bytes:
    """Give a drawing of about 100 mm."""
    return Writer(dice, marked=dice.random() < 0.5).drawing()

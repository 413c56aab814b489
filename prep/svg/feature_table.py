"""The documentation's table of features, made from the reader's own.

python -m prep.svg.feature_table                  prints it
python -m prep.svg.feature_table DEVELOPERS.md    writes it into the document, between its marks
"""

from __future__ import annotations

import sys
from pathlib import Path

from prep.svg.features import FEATURES, Feature, Treatment

BEGIN = "<!-- features: written by python -m prep.svg.feature_table -->"
END = "<!-- end of features -->"


def table() -> str:
    """Give the table in Markdown, a row for each feature."""
    rows = [("In the file", "What becomes of it", "How, or what to do"), ("---", "---", "---")]
    rows += [(one.names, one.treatment.value, _remark(one)) for one in FEATURES.values()]
    return "\n".join("| " + " | ".join(_cell(text) for text in row) + " |" for row in rows)


def written_into(document: str) -> str:
    """Give a document with the table between its marks.

    :raises ValueError: it has no such marks, or in another order
    """
    before, begin, rest = document.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError(f"the document must hold the lines {BEGIN} and {END}")
    return f"{before}{BEGIN}\n\n{table()}\n\n{END}{after}"


def _remark(feature: Feature) -> str:
    match feature.treatment:
        case Treatment.EXACT:
            return feature.what
        case Treatment.NOTED:
            return f"It {feature.what}."
        case Treatment.REFUSED:
            return f"It {feature.what}; {feature.do}."


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "&lt;")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        file = Path(sys.argv[1])
        file.write_text(written_into(file.read_text(encoding="utf-8")), encoding="utf-8")
    else:
        sys.stdout.write(table() + "\n")

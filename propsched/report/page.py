"""A page of HTML that carries all it needs and prints on A4 in black and white."""

from collections.abc import Iterable
from html import escape

from propsched.report.words import clean

STYLE = """
@page { size: A4; margin: 12mm; }
* { box-sizing: border-box; }
body { font: 10.5pt/1.3 "DejaVu Sans", Verdana, sans-serif; color: #000;
  background: #fff; margin: 0 auto; max-width: 190mm; padding: 4mm; }
h1 { font-size: 17pt; margin: 0; }
h2 { font-size: 13pt; margin: 6mm 0 1mm; border-bottom: 0.6mm solid #000; }
h3 { font-size: 11pt; margin: 3mm 0 1mm; }
p { margin: 1mm 0; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 0.25mm solid #000; padding: 1mm 1.5mm; text-align: left;
  vertical-align: top; }
th { font-weight: bold; background: #fff; }
td.n, th.n { text-align: right; white-space: nowrap; }
.box { display: inline-block; width: 4.5mm; height: 4.5mm;
  border: 0.5mm solid #000; vertical-align: -0.8mm; }
.small { font-size: 9pt; }
tr, .caution, .whole { break-inside: avoid; }
h2, h3 { break-after: avoid; }
@media print { body { padding: 0; max-width: none; } }
"""


def page(title: str, parts: Iterable[str]) -> str:
    """The whole page of parts that are HTML already."""
    body = "\n".join(parts)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{text(title)}</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def text(words: str) -> str:
    """Any words, which are text in the page and never markup."""
    return escape(clean(words))


def table(heads: Iterable[str], rows: Iterable[Iterable[str]], right: str = "") -> str:
    """Rows of ready cells; ``right`` has an n for each column of figures."""

    def kind(k: int) -> str:
        return ' class="n"' if right[k : k + 1] == "n" else ""

    head = "".join(
        f'<th scope="col"{kind(k)}>{text(h)}</th>' for k, h in enumerate(heads)
    )
    lines = []
    for row in rows:
        cells = "".join(f"<td{kind(k)}>{cell}</td>" for k, cell in enumerate(row))
        lines.append(f"<tr>{cells}</tr>")
    return (
        f"<table>\n<thead>\n<tr>{head}</tr>\n</thead>\n<tbody>\n"
        + "\n".join(lines)
        + "\n</tbody>\n</table>"
    )

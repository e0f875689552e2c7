"""The styles of our Word documents: ink first, one dark lead colour, rules in place of boxes.

Headings stay Word's own heading styles, so that its navigation and its table of contents find them; the rest is ours.
Fonts are ones that Word has and that other programs replace by some of the same width.
"""

from __future__ import annotations

from typing import Any

from docx.document import Document
from docx.enum.style import WD_STYLE_TYPE
from docx.oxml import OxmlElement, parse_xml
from docx.oxml.ns import nsdecls, qn
from docx.shared import Pt, RGBColor

INK = RGBColor(0x1C, 0x20, 0x22)
SOFT = RGBColor(0x50, 0x57, 0x5B)
LEAD = RGBColor(0x0D, 0x4A, 0x56)
FONT = "Arial"
# Holds every shape of the page; where it is missing, programs take one that does.
MARK_FONT = "Segoe UI Symbol"

TABLE, GRID, SIGN = "Narrate Ledger", "Narrate Facts", "Narrate Signatures"
CELL, LABEL, NOTE, TITLE, LINE, GAP = (
    "Narrate Cell", "Narrate Label", "Narrate Note", "Narrate Title", "Narrate Running", "Narrate Gap",
)  # fmt: skip
STRONG, FAINT, CITED, MARK = "Narrate Strong", "Narrate Faint", "Narrate Cited", "Narrate Mark"

# (name, size in points, bold, colour, space before, space after in points)
_PARAGRAPHS: tuple[tuple[str, float, bool, RGBColor, float, float], ...] = (
    (CELL, 9, False, INK, 1.2, 1.2),
    (LABEL, 8, False, SOFT, 1.9, 0.6),
    (NOTE, 8, False, SOFT, 0, 1.5),
    (TITLE, 9.5, True, LEAD, 0, 0),
    (LINE, 7.5, False, SOFT, 0, 0),
    (GAP, 3, False, SOFT, 0, 0),
)
_HEADINGS: tuple[tuple[str, float, RGBColor, float, float], ...] = (
    ("Title", 19, INK, 0, 3), ("Heading 1", 12, INK, 11, 4), ("Heading 2", 10.5, LEAD, 9, 2),
)  # fmt: skip
_RUNS = ((STRONG, True, None), (FAINT, False, SOFT), (CITED, False, SOFT), (MARK, False, None))

_TABLE_XML = """
<w:style {ns} w:type="table" w:customStyle="1" w:styleId="{id}">
  <w:name w:val="{name}"/><w:basedOn w:val="TableNormal"/><w:uiPriority w:val="99"/><w:qFormat/>
  <w:tblPr><w:tblInd w:w="0" w:type="dxa"/><w:tblBorders>{borders}</w:tblBorders>
    <w:tblCellMar><w:left w:w="{pad}" w:type="dxa"/><w:right w:w="60" w:type="dxa"/></w:tblCellMar></w:tblPr>
  {first}
</w:style>"""
_HEAD_ROW = """<w:tblStylePr w:type="firstRow"><w:rPr><w:b/><w:color w:val="{soft}"/><w:sz w:val="16"/></w:rPr>
  <w:tcPr><w:tcBorders><w:bottom w:val="single" w:sz="12" w:space="0" w:color="{ink}"/></w:tcBorders></w:tcPr>
  </w:tblStylePr>"""
_HAIRLINE = '<w:{side} w:val="single" w:sz="4" w:space="0" w:color="B4B9B6"/>'


def set_styles(document: Document, language: str) -> None:
    """Give a new document our styles and take out the stock table styles that came with it."""
    styles = document.styles
    root: Any = styles.element
    for style in [one for one in root if one.get(qn("w:type")) == "table" and one.get(qn("w:default")) != "1"]:
        root.remove(style)
    _set_language(root, language)
    settings: Any = document.settings.element
    for setting in settings.iter(qn("w:compatSetting")):
        if setting.get(qn("w:name")) == "compatibilityMode":
            setting.set(qn("w:val"), "15")  # tables begin at the margin, not their words
    normal: Any = styles["Normal"]
    _set_font(normal, 9.5, False, INK)
    normal.paragraph_format.space_after = Pt(3)
    normal.paragraph_format.line_spacing = 1.08
    for name, size, colour, before, after in _HEADINGS:
        heading: Any = styles[name]
        _set_font(heading, size, True, colour)
        heading.paragraph_format.space_before, heading.paragraph_format.space_after = Pt(before), Pt(after)
        heading.paragraph_format.keep_with_next = True
        for old in heading.element.pPr.findall(qn("w:pBdr")):
            heading.element.pPr.remove(old)
    _set_border(styles["Title"], bottom=18)
    _set_border(styles["Heading 1"], left=48, bottom=4)
    for name, size, bold, colour, before, after in _PARAGRAPHS:
        own: Any = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH)
        own.base_style = normal
        _set_font(own, size, bold, colour)
        own.paragraph_format.space_before, own.paragraph_format.space_after = Pt(before), Pt(after)
        own.paragraph_format.line_spacing = 1.0
        own.paragraph_format.keep_with_next = name == LABEL  # a label never stands alone at the foot of a page
    for name, heavy, tint in _RUNS:
        run: Any = styles.add_style(name, WD_STYLE_TYPE.CHARACTER)
        run.font.bold = heavy or None
        if tint is not None:
            run.font.color.rgb = tint
        if name == CITED:
            run.font.size, run.font.bold = Pt(7.5), False
        if name == MARK:
            _set_face(run, MARK_FONT)
            run.font.bold = False
    hair = "".join(_HAIRLINE.format(side=side) for side in ("bottom", "insideH"))
    head = _HEAD_ROW.format(soft=SOFT, ink=INK)
    for name, borders, first, pad in ((TABLE, hair, head, 100), (GRID, hair, "", 100), (SIGN, "", "", 20)):
        xml = _TABLE_XML.format(
            ns=nsdecls("w"), id=name.replace(" ", ""), name=name, borders=borders, first=first, pad=pad
        )
        root.append(parse_xml(xml))


def _set_font(style: Any, size: float, bold: bool, colour: RGBColor) -> None:
    style.font.size, style.font.bold, style.font.italic = Pt(size), bold, False
    style.font.color.rgb = colour
    _set_face(style, FONT)
    style.hidden, style.quick_style = False, True
    spacing = style.element.rPr.find(qn("w:spacing"))
    if spacing is not None:
        style.element.rPr.remove(spacing)


def _set_face(style: Any, face: str) -> None:
    style.font.name = face
    fonts = style.element.rPr.rFonts
    for theme in ("asciiTheme", "hAnsiTheme", "eastAsiaTheme", "cstheme"):
        fonts.attrib.pop(qn(f"w:{theme}"), None)
    for script in ("ascii", "hAnsi", "cs", "eastAsia"):
        fonts.set(qn(f"w:{script}"), face)


def _set_border(style: Any, **sides: int) -> None:
    """Rules beside and below a heading, in eighths of a point; the order of elements is the schema's."""
    borders = OxmlElement("w:pBdr")
    for side in ("left", "bottom"):
        if side in sides:
            rule = OxmlElement(f"w:{side}")
            colour = "B4B9B6" if sides[side] == 4 else str(LEAD)
            for key, value in (("val", "single"), ("sz", str(sides[side])), ("space", "4"), ("color", colour)):
                rule.set(qn(f"w:{key}"), value)
            borders.append(rule)
    properties = style.element.get_or_add_pPr()
    after = [qn(f"w:{tag}") for tag in ("keepNext", "keepLines", "pageBreakBefore", "framePr", "widowControl", "numPr")]
    at = max((i + 1 for i, child in enumerate(properties) if child.tag in after), default=0)
    properties.insert(at, borders)
    if "left" in sides:
        style.paragraph_format.left_indent = Pt(9)


def _set_language(root: Any, language: str) -> None:
    for fonts in root.iter(qn("w:rPrDefault")):
        properties = fonts.find(qn("w:rPr"))
        tag = properties.find(qn("w:lang"))
        if tag is None:
            tag = OxmlElement("w:lang")
            properties.append(tag)
        tag.set(qn("w:val"), language)

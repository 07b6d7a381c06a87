"""What every sheet looks like: lettering heights, line widths, greys, pens and the colours of glass.

Millimetres on paper, colours as ``#RRGGBB``. Only glass, tubes and their chips are coloured, plus the trace;
hardware, text and warnings are black, white or grey, so that a photocopy loses nothing but the colours.
Nothing here knows what is drawn: names of colours come in, looks go out.
"""

from __future__ import annotations

from dataclasses import dataclass

from render.drawing import Pen

# Heights of a capital in mm (ISO 3098 series, with a floor of 2.1).
H_FLOOR = 2.1
H_LABEL = 2.5
H_HEAD = 3.5
H_TITLE = 5.0
H_NODE = 10.0
HEIGHTS = (H_FLOOR, H_LABEL, H_HEAD, H_TITLE, H_NODE)
LINE_GAP = 1.5  # line pitch = height + gap

# Line widths in mm (ISO 128 series). Anything wider is a filled band, never an outline.
W_THIN = 0.25
W_OUTLINE = 0.35
W_BUNDLE = 0.5
W_HEAVY = 0.7
WIDTHS = (W_THIN, W_OUTLINE, W_BUNDLE, W_HEAVY)

INK = "#111111"
INK_SOFT = "#444444"
EDGE = "#6E6E6E"
RULE = "#B4B4B2"
HARDWARE = "#DCDCDA"
FIELD = "#F1F1EF"
SHEATH = "#3A3A3A"
PAPER = "#FFFFFF"
TRACE = "#FFE58A"

PAD_BOX = 2.0
PAD_TEXT = 3.0
PAD_GROUND = 0.4  # white ground around a label that stands on a feature
HALO = 0.5  # white each side of the upper route at a crossing
CHIP_RADIUS = 0.5
CHIP_EXTRA = 1.3  # a chip is lettering height plus this
TAG_SQUARE = 2.2
LEADER_DOT = 0.6
ARROW_LENGTH = 2.5
ARROW_ANGLE_DEG = 20.0

FRAME = Pen(INK, W_HEAVY)
ZONE_BORDER = Pen(INK, W_OUTLINE)
ENCLOSURE = Pen(INK, W_HEAVY, PAPER)
ACTIVE_TRAY = Pen(INK, W_HEAVY, PAPER)
OUTLINE = Pen(INK, W_OUTLINE)
HARDWARE_OUTLINE = Pen(EDGE, W_OUTLINE, HARDWARE)
HATCH = Pen(EDGE, W_THIN)
LEADER = Pen(INK, W_THIN)
LEADER_END = Pen(None, W_THIN, INK)
DIMENSION = Pen(INK, W_THIN)
ARROW = Pen(None, W_THIN, INK)
TABLE_OUTLINE = Pen(INK, W_BUNDLE)
TABLE_RULE = Pen(INK, W_OUTLINE)
TABLE_ROW = Pen(RULE, W_THIN)
CELL = Pen(INK, W_THIN)
FIELD_FILL = Pen(None, W_THIN, FIELD)
BUNDLE = Pen(INK, W_BUNDLE)
SLASH = Pen(INK, W_BUNDLE)
TUBE_END = Pen(INK, W_BUNDLE)
BOND = Pen(INK, W_BUNDLE, dash=(3.0, 0.8, 0.8, 0.8))
DOT_RING = Pen(INK, W_BUNDLE, PAPER)
DOT_DONE = Pen(INK, W_BUNDLE, INK)
SHEATH_OUTLINE = Pen(INK, W_HEAVY, SHEATH)
STUB_CAP = Pen(INK, W_HEAVY)
CURVES = (
    Pen(INK, W_HEAVY),
    Pen(INK, W_HEAVY, dash=(2.0, 1.0)),
    Pen(INK, W_HEAVY, dash=(5.0, 1.2)),
    Pen(INK, W_HEAVY, dash=(0.8, 1.0)),
)
"""One for each wavelength of a plot, told apart by their dashes."""
CAUTION = Pen(INK, W_HEAVY, PAPER)
TAG = Pen(INK, W_OUTLINE, PAPER)
TAG_DASHED = Pen(INK, W_OUTLINE, PAPER, dash=(1.5, 1.0))
LOUD_TAG = Pen(PAPER, W_OUTLINE, INK)
SLEEVE_OLD = Pen(INK, W_OUTLINE, HARDWARE)
SLEEVE_NEW = Pen(INK, W_BUNDLE, PAPER)
SLOT_SPARE = Pen(EDGE, W_THIN, dash=(1.0, 1.0))
GROUND = Pen(None, W_THIN, PAPER)
TRACE_EDGE = Pen(INK, W_THIN, TRACE)

# A band is the casing at full width with the core inside it: (full width, casing on each side).
BAND_OLD = (1.0, W_THIN)
BAND_NEW = (1.5, W_OUTLINE)
BAND_EXPRESS = (2.4, W_THIN)
BAND_TRACE = (6.6, W_THIN)


@dataclass(frozen=True, slots=True)
class Look:
    """One colour of glass: fill, ink of a chip, and dash of the mono core.

    ``mono`` is black dash lengths on white in mm, as in ``Pen.dash``: ``()`` is solid black, ``None`` leaves
    the core white.
    """

    name: str
    fill: str
    ink: str
    mono: tuple[float, ...] | None


_AQUA = (1.0, 1.0, 1.0, 1.0, 1.0, 3.0)
_ROSE = (1.0, 1.0, 1.0, 3.0)
_SLATE = (6.0, 1.0, 1.0, 1.0, 1.0, 1.0)

# One physical colour under two names (aqua and turquoise, rose and pink, slate and grey) keeps one pattern;
# no colour order holds both names.
LOOKS: dict[str, Look] = {
    look.name: look
    for look in (
        Look("blue", "#1F5FC4", PAPER, (6.0, 1.0)),
        Look("orange", "#F08A00", INK, (3.0, 1.5)),
        Look("green", "#14803C", PAPER, (1.5, 1.5)),
        Look("brown", "#85501F", PAPER, (6.0, 1.0, 1.0, 1.0)),
        Look("slate", "#8A97A3", INK, _SLATE),
        Look("white", PAPER, INK, None),
        Look("red", "#D3222A", PAPER, (3.0, 1.0, 1.0, 1.0)),
        Look("black", "#1C1C1C", PAPER, ()),
        Look("yellow", "#FFD21A", INK, (1.0, 3.0)),
        Look("violet", "#7A3DAE", PAPER, (3.0, 1.0, 3.0, 1.0, 1.0, 1.0)),
        Look("rose", "#F5A3BD", INK, _ROSE),
        Look("aqua", "#35C3CF", INK, _AQUA),
        Look("turquoise", "#2DB9B4", INK, _AQUA),
        Look("pink", "#F29AB8", INK, _ROSE),
        Look("grey", "#9B9E9F", INK, _SLATE),
        Look("light green", "#8CCB6E", INK, (1.5, 0.75)),
        Look("light blue", "#8EC1F0", INK, (4.0, 0.75)),
        Look("transparent", "#EAF0F2", INK, (0.5, 2.0)),
        Look("natural", "#F4EAD2", INK, (0.5, 4.0)),
    )
}


def look_of(name: str) -> Look:
    """The look of a colour by its canonical name; an unknown name gets white with fine dots.

    A wrong colour would mislead a hand at the bench, so an unknown one is never guessed from its name: the
    letters of the chip carry it.
    """
    return LOOKS.get(name) or Look(name, PAPER, INK, (0.5, 0.5))


def stripe_of(name: str) -> str:
    """Colour of the marks of the second and later dozens: black, and yellow on a black fibre."""
    return LOOKS["yellow"].fill if name == "black" else INK


def chip_pen(name: str) -> Pen:
    """Pen of the chip of a colour; its lettering takes ``look_of(name).ink``."""
    return Pen(INK, W_THIN, look_of(name).fill)


def luminance(colour: str) -> float:
    """Relative luminance 0 to 1 of ``#RRGGBB`` in sRGB, after WCAG 2.2."""
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio 1 to 21: ``(L1 + 0.05) / (L2 + 0.05)``, the lighter above (WCAG 2.2)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)

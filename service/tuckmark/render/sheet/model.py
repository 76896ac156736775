"""What stands on a bench sheet, ready to print: words and figures, no layout.

HTML and PDF are both made from this and from nothing else, so that they say the same.
"""

from dataclasses import dataclass
from typing import Literal

Page = Literal["a4", "letter"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure or a few words that stand in its place.

    Attributes:
        number: whole part, such as ``12 ft 3``; or words.
        fraction: such as ``1/2``.
        unit: such as ``in``.
        assumed: rests on common practice or assumption (confidence C).
        expect: its 95 % range in words; empty where it prints as the figure itself.
        refs: numbers of its sources in the list of sources.
    """

    number: str
    fraction: str = ""
    unit: str = ""
    assumed: bool = False
    expect: str = ""
    refs: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure, or one for each end, and what it is."""

    label: str
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """Facts under common headings.

    Attributes:
        heads: one for each figure of a fact; empty where there is but one.
        notes: what must be known with the figures, and why some are missing.
    """

    heads: tuple[str, ...]
    rows: tuple[Fact, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoticeItem:
    """One warning of the plan, in full."""

    text: str
    refs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Notice:
    """All warnings of one severity."""

    word: Literal["STOP", "CHECK", "NOTE"]
    items: tuple[NoticeItem, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """How much rope, and how long it comes out.

    Attributes:
        figure: the length to cut; words where there is none.
        lines: what goes with it.
        finished: the length that comes out, in each state, the one asked for first.
        advice: what to measure to be surer.
    """

    label: str
    figure: Figure
    lines: tuple[str, ...]
    finished: tuple[Fact, ...]
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One mark of the rope.

    Attributes:
        kind: its shape in words and from where it is measured; empty where its group says so.
        also: other marks at the same place, which the one mark serves as well.
        notes: how it is counted, what it may be off, what it is for.
    """

    name: str
    shape: Literal["ring", "dot", "pair"]
    distance: Figure
    kind: str
    also: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkGroup:
    """Marks that are made in one go.

    Attributes:
        common: what is said of every one of them.
        opens: to which side of the sheet a strand pair is open: where the bitter end lies.
    """

    title: str
    common: str
    opens: Literal["left", "right"]
    rows: tuple[MarkRow, ...]


@dataclass(frozen=True, slots=True)
class StepRow:
    """One thing to do, or the same thing at each end.

    Attributes:
        numbers: its number in the plan; two where it is done at each end.
        boxes: what each box to tick is of, empty where there is but one.
        marks: what is marked in it.
    """

    numbers: tuple[int, ...]
    boxes: tuple[str, ...]
    text: str
    caution: str
    marks: tuple[MarkGroup, ...]


@dataclass(frozen=True, slots=True)
class AsBuiltRow:
    """A box to fill in, beside what the plan says; empty where it says nothing."""

    label: str
    planned: str
    expect: str


@dataclass(frozen=True, slots=True)
class Source:
    """One source, under the number by which the sheet refers to it."""

    n: int
    text: str
    assumed: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """A bench sheet, in the order of work.

    Attributes:
        running: the job, repeated on every further page.
        foot: which plan it is, repeated on every page.
        overprint: printed across every page; empty where the plan may be used.
        lead: what is made, in a line.
        drawings: pictures of the rope and its marks, each SVG.
        first: what must be done before any mark is made; empty where there is nothing.
        notes: how to read the steps and their marks.
        confidence: what the letter after a source means.
        address: where this plan can be had again; empty where it is not known.
        qr: the same as a QR code, SVG; empty where there is none.
        qr_line: said below the code, or in its place.
    """

    page: Page
    title: str
    running: str
    foot: tuple[str, ...]
    overprint: str
    lead: str
    job: tuple[Fact, ...]
    rope: tuple[Fact, ...]
    notices: tuple[Notice, ...]
    cut: Cut
    tools: tuple[str, ...]
    drawings: tuple[str, ...]
    first: str
    notes: tuple[str, ...]
    steps: tuple[StepRow, ...]
    splices: Facts
    lengths: Facts
    strength: Facts
    as_built: tuple[AsBuiltRow, ...]
    pieces: str
    cautions: tuple[str, ...]
    confidence: str
    sources: tuple[Source, ...]
    address: str
    qr: str
    qr_line: str

from __future__ import annotations

import re
from pathlib import Path

import pytest

from larkslate.errors import Malformed, Missing, NotAllowed
from larkslate.materials import fonts, wording
from larkslate.materials.look import SIZES, Look
from larkslate.materials.typeset import templates, typeset

HOUSE = (templates() / "house.typ").read_text(encoding="utf-8")


def color(name: str) -> tuple[int, int, int]:
    found = re.search(rf'#let {name} = rgb\("#(..)(..)(..)"\)', HOUSE)
    assert found, name
    red, green, blue = (int(part, 16) for part in found.groups())
    return red, green, blue


def luminance(rgb: tuple[int, int, int]) -> float:
    """Relative luminance, WCAG 2.2."""

    def linear(value: float) -> float:
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part / 255) for part in rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


WHITE = (255, 255, 255)


@pytest.mark.parametrize("name", ["ink", "accent", "quiet"])
@pytest.mark.parametrize("paper", ["white", "tint"])
def test_text_colors_have_contrast_on_paper_and_in_gray(name: str, paper: str) -> None:
    # WCAG 2.2, 1.4.3: 4.5 : 1; the ratio is of luminance, so a gray copy has it too
    ground = WHITE if paper == "white" else color("tint")
    assert contrast(color(name), ground) >= 4.5
    gray = round(255 * (luminance(color(name)) ** (1 / 2.2)))
    assert contrast((gray, gray, gray), ground) >= 4.5


def test_writing_lines_have_contrast() -> None:
    assert contrast(color("line-gray"), WHITE) >= 3  # WCAG 2.2, 1.4.11


def test_templates_name_no_other_color_and_no_system_font() -> None:
    for path in templates().glob("*.typ"):
        text = path.read_text(encoding="utf-8")
        if path.name != "house.typ":
            assert "rgb(" not in text, path.name
        assert set(re.findall(r"\b(?:red|blue|green|yellow|orange|purple|teal)\b", text)) == set()


def test_child_text_is_large_enough() -> None:
    assert min(SIZES) >= 14


def test_a_ruling_for_every_size() -> None:
    heights = [Look(size=size).lines.height for size in SIZES]
    assert heights == sorted(heights)
    assert Look(ruling="grade 4").lines.height < Look().lines.height
    assert Look(ruling=11).lines.height == 11
    baseline = next(line for line in Look().data()["ruling"]["lines"] if line["down"] == 9.5)
    assert baseline["color"] == Look().lines.lines[2].color
    with pytest.raises(NotAllowed, match="for the board"):
        Look(ruling="board")


def test_fonts_come_from_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    for folder in fonts.folders():
        assert "fontpkg" in str(folder)
        assert any(Path(folder).glob("*.ttf"))
    monkeypatch.setitem(fonts.PACKAGES, "Lexend", "fontpkg_not_there")
    with pytest.raises(Missing, match="pip install fontpkg-not-there"):
        fonts.folder("Lexend")


# All that the notation of the pages asks for: letters, marks, sounds in IPA and in the teacher's notation.
CHILD = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789’“”.,?!:;–—…()|/éñ"
ADULT = CHILD + "·→+⟨⟩āēīōūăĕĭŏŭəɪʊɛæɑɔʌɜɝɚŋθðʃʒʧʤɹɡˈˌː✓×"


@pytest.mark.parametrize(("family", "needed"), [("Lexend", CHILD), ("Source Sans 3", ADULT)])
def test_every_letter_of_the_notation_is_in_the_font(
    family: str, needed: str, tmp_path: Path
) -> None:
    import typst

    source = tmp_path / "coverage.typ"
    source.write_text(
        '#set document(title: "t")\n#set text(fallback: false, font: sys.inputs.family)\n'
        "= t\n#sys.inputs.needed\n",
        encoding="utf-8",
    )
    folders = [str(folder) for folder in fonts.folders()]

    def compile_with(text: str) -> bytes:
        return typst.compile(
            str(source),
            font_paths=folders,
            ignore_system_fonts=True,
            sys_inputs={"family": family, "needed": text},
            pdf_standards=["ua-1"],
        )

    assert compile_with(needed)
    with pytest.raises(typst.TypstError, match="could not be displayed"):
        compile_with(f"{needed}字")


def test_a_template_that_does_not_compile_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "broken.typ").write_text("#let x = (", encoding="utf-8")
    monkeypatch.setattr("larkslate.materials.typeset.templates", lambda: tmp_path)
    with pytest.raises(Malformed, match=r"template broken\.typ does not compile"):
        typeset("broken", {})


def test_wording_fills_braces_and_names_what_is_missing() -> None:
    assert wording.wording("teacher.minutes", n=30) == "30 minutes"
    with pytest.raises(Malformed, match=r"no text for box\.nothing"):
        wording.wording("box.nothing")
    with pytest.raises(Malformed, match=r"teacher\.minutes"):
        wording.wording("teacher.minutes")


def test_options_are_checked() -> None:
    with pytest.raises(NotAllowed):
        Look(paper="letter")

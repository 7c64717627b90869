"""Commands about words: word, text, find, skills, points."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from larkslate.cli_files import read_text
from larkslate.desk import Desk
from larkslate.errors import Malformed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from larkslate.sequence.reach import Reach, TextWord
    from larkslate.words.model import Reading, Word

NOTHING = 1  # exit code: unknown word, out of reach, nothing found
JSON = click.option("--json", "as_json", is_flag=True, help="Answer as documented in docs/json.md.")


def table(rows: Sequence[Sequence[str]], indent: str = "") -> Iterator[str]:
    """Rows with aligned columns, two blanks between; the last column is left as it is."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = [cell.ljust(width) for cell, width in zip(row[:-1], widths, strict=False)]
        yield (indent + "  ".join([*cells, row[-1]])).rstrip()


# ---- word ------------------------------------------------------------------------------------


@click.command()
@click.argument("words", nargs=-1, required=True, metavar="WORD...")
@JSON
def word(words: tuple[str, ...], as_json: bool) -> int:
    """Everything known about a word: sounds, spellings, syllables, parts, what it asks for and since when.

    WORD may be several words; "-" reads words from standard input, one a line.
    """
    desk = Desk()
    known = True
    for number, asked in enumerate(_asked(words)):
        found = desk.word(asked)
        since = desk.reach.in_reach_from(found.word)
        if as_json:
            from larkslate import jsonform

            click.echo(jsonform.dump(jsonform.word(found, since)))
        else:
            click.echo(("\n" if number else "") + "\n".join(_word_lines(found, since, desk)))
        known = known and bool(found.readings)
    return 0 if known else NOTHING


def _asked(words: Sequence[str]) -> Iterator[str]:
    """The words asked for, in order; "-" stands for the lines of standard input."""
    for one in words:
        if one == "-":
            yield from (line for line in read_text("-").splitlines() if line.strip())
        else:
            yield one


def _word_lines(found: Word, since: str | None, desk: Desk) -> Iterator[str]:
    if not found.readings:
        yield (
            f"{found.word}  unknown: not in the word list. Check the spelling; names and rare words "
            "may be missing."
        )
        return
    reach = f"in reach from {since}" if since else "never in reach in this sequence"
    common = f"zipf {found.zipf:.1f}" if found.zipf else "rare"
    yield f"{found.word}  {found.status.value}, {common}, {reach}"
    for number, reading in enumerate(found.readings, start=1):
        if len(found.readings) > 1:
            yield f"  reading {number} of {len(found.readings)}"
        yield from _reading_lines(found.word, reading, desk.reach)
        if not found.contraction:
            yield from _why_lines(reading)
    if found.contraction:
        for form in found.contraction.forms:
            yield f"  short for  {' '.join(form.full) if form.full else 'no single full form'}"
            yield from (f"             {s.teacher}" for s in form.steps)
    if found.homophones:
        yield f"  sounds as  {', '.join(found.homophones)}"


def _reading_lines(written: str, reading: Reading, reach: Reach) -> Iterator[str]:
    from larkslate.words.sounds import respell, to_ipa

    if reading.phonemes:
        said = f"/{to_ipa(reading.phonemes)}/  {' '.join(reading.phonemes)}"
        yield f"  sounds     {said}" + (f"  ({', '.join(reading.pos)})" if reading.pos else "")
    if reading.graphemes:
        pairs = [(g.letters, respell(g.phonemes)) for g in reading.graphemes]
        lines = list(table([[p[0] for p in pairs], [p[1] for p in pairs]]))
        yield f"  spelling   {lines[0]}"
        yield f"             {lines[1]}"
    if reading.syllables:
        kinds = ", ".join(
            s.type.value + (f" ({s.detail.value})" if s.detail else "") for s in reading.syllables
        )
        also = f"; also {' or '.join(a.replace('-', '·') for a in reading.also)}"
        divided = reading.division.replace("-", "·")
        yield f"  syllables  {divided}  {kinds}" + (also if reading.also else "")
    if reading.morphemes:
        yield "  built from " + " + ".join(
            f"{m.letters} ({m.kind.value}" + (f", alone {m.form})" if m.form != m.letters else ")")
            for m in reading.morphemes
        )
    for index, need in enumerate(reading.needs):
        letters = "…".join(written[a:b] for a, b in need.spans)
        since = reach.since_skill(need.skill)
        point = f"{reach.sequence.points[since].id}" if since is not None else "not taught"
        yield f"  {'asks for' if index == 0 else '':9}  {letters:8}  {need.skill:18}  {point}"


def _why_lines(reading: Reading) -> Iterator[str]:
    for index, step in enumerate(reading.why):
        yield f"  {'why' if index == 0 else '':9}  {step.teacher}"


# ---- text ------------------------------------------------------------------------------------


@click.command()
@click.argument("file", metavar="FILE|-")
@click.option("--through", required=True, metavar="POINT", help="K2, a point, or a unit (its end).")
@JSON
def text(file: str, through: str, as_json: bool) -> int:
    """Show what in a text is out of reach after a point, and why."""
    desk = Desk()
    desk.sequence.end_of(through)  # a point that does not exist is told before the text is read
    content = read_text(file)
    report = desk.reach.text(content, through)
    if not report.words:
        raise Malformed("There is no word in the text: put one in it and try again.")
    outside = [(w, _why(w, desk.reach)) for w in report.out_of_reach]
    inside = len(report.words) - len(outside)
    if as_json:
        from larkslate import jsonform

        click.echo(
            jsonform.dump(
                {
                    "through": through,
                    "words": len(report.words),
                    "in_reach": inside,
                    "share": round(report.share, 4),
                    "out_of_reach": [
                        {
                            "word": w.word,
                            "at": list(w.span),
                            "line": content.count("\n", 0, w.span[0]) + 1,
                            "status": w.status.value,
                            "in_reach_from": desk.reach.in_reach_from(w.word),
                            "missing": [jsonform.need(n) for n in w.missing],
                            "why": why,
                        }
                        for w, why in outside
                    ],
                    "by_skill": report.by_skill,
                }
            )
        )
    else:
        click.echo(f"{inside} of {len(report.words)} words are in reach after {through}.")
        if outside:
            rows = [(str(content.count("\n", 0, w.span[0]) + 1), w.word, why) for w, why in outside]
            click.echo("\n".join(table([("line", "word", "why it is out of reach"), *rows])))
    return NOTHING if outside else 0


def _why(found: TextWord, reach: Reach) -> str:
    """One line: what a word of a text lacks and when that comes."""
    if found.word.isdigit():
        return "a number in figures: write it in words"
    if not found.missing:
        return "not in the word list"
    reasons = []
    for need in found.missing:
        letters = "…".join(found.word[a:b] for a, b in need.spans)
        since = reach.since_skill(need.skill)
        if since is None:
            reasons.append(f"{letters}: {need.skill}, not taught in this sequence")
        else:
            point = reach.sequence.points[since]
            reasons.append(f"{letters}: {point.name} ({point.id})")
    return "; ".join(dict.fromkeys(reasons))


# ---- find ------------------------------------------------------------------------------------


@click.command()
@click.option("--needs", multiple=True, metavar="SKILL", help="A skill; gp:ough=* for any rest.")
@click.option("--through", metavar="POINT", help="In reach after K2, a point, or a unit (its end).")
@click.option("--spelling", metavar="LETTERS", help="Letters of one sound: tch, a_e.")
@click.option("--sounds", metavar="ARPABET", help='What they spell, or a run of sounds: "AH N".')
@click.option("--position", type=click.Choice(["initial", "medial", "final"]), help="Where.")
@click.option("--syllables", type=click.IntRange(1), metavar="N", help="How many syllables.")
@click.option("--type", "types", multiple=True, metavar="TYPE", help="A syllable type in it.")
@click.option("--pos", metavar="POS", help="noun, verb, adjective ...")
@click.option("--zipf", type=float, default=0.0, metavar="MIN", help="How common at least.")
@click.option("--names", is_flag=True, help="Names too.")
@click.option("--limit", type=click.IntRange(1), default=50, metavar="N", show_default=True)
@JSON
def find(
    needs: tuple[str, ...],
    through: str | None,
    spelling: str | None,
    sounds: str | None,
    position: str | None,
    syllables: int | None,
    types: tuple[str, ...],
    pos: str | None,
    zipf: float,
    names: bool,
    limit: int,
    as_json: bool,
) -> int:
    """Find words by structure, the commonest first. All conditions must hold."""
    from larkslate.words.lexicon import Query

    desk = Desk()
    query = Query(
        needs=needs,
        sounds=tuple(bare_sounds(sounds)) if sounds else (),
        spelling=spelling or "",
        position=position or "",
        syllables=syllables,
        types=types,
        zipf_min=zipf,
        pos=pos or "",
        names=names,
    )
    if query == Query(zipf_min=zipf, names=names) and through is None:
        raise Malformed("Nothing to find: name a condition, such as --needs gp:tch=CH.")
    taught = desk.reach.taught(through) if through is not None else None
    found = [e for e in desk.lexicon.find(query) if taught is None or taught.reaches(e)]
    shown = found[:limit]
    if as_json:
        from larkslate import jsonform

        words = [jsonform.entry(e, desk.reach.in_reach_from(e.word)) for e in shown]
        click.echo(jsonform.dump({"count": len(found), "words": words}))
    elif found:
        rows = [
            (e.word, f"{e.zipf:.1f}", desk.reach.in_reach_from(e.word) or "never", " ".join(e.pos))
            for e in shown
        ]
        click.echo("\n".join(table([("word", "zipf", "in reach from", ""), *rows])))
        if len(found) > len(shown):
            click.echo(f"{len(found) - len(shown)} more: raise --limit to see them.")
    else:
        click.echo("No word fits.")
    return 0 if found else NOTHING


def bare_sounds(text: str) -> Iterator[str]:
    """ARPAbet symbols as find compares them. Raises Malformed for one that does not exist."""
    from larkslate.words.sounds import SYMBOLS, unit

    for symbol in text.upper().split():
        if unit(symbol).removesuffix("0") not in SYMBOLS:
            raise Malformed(f"“{symbol}” is not an ARPAbet symbol: write sounds as in K AE CH.")
        yield unit(symbol)


# ---- skills and points -----------------------------------------------------------------------


@click.command()
@JSON
def skills(as_json: bool) -> int:
    """List every skill with the points that teach it, the first one first."""
    sequence = Desk().sequence
    if as_json:
        from larkslate import jsonform

        click.echo(
            jsonform.dump([{"skill": s, "points": list(p)} for s, p in sequence.teaches.items()])
        )
    else:
        click.echo("\n".join(table([(s, ", ".join(p)) for s, p in sequence.teaches.items()])))
    return 0


@click.command()
@JSON
def points(as_json: bool) -> int:
    """List the teaching points in the order taught."""
    sequence = Desk().sequence
    if as_json:
        from larkslate import jsonform

        click.echo(jsonform.dump([jsonform.point(p, sequence) for p in sequence.points]))
        return 0
    rows = []
    for point in sequence.points:
        theme = sequence.theme_of(point.id)
        rows.append((point.id, f"unit {theme.number}" if theme else "before", point.name))
    click.echo("\n".join(table(rows)))
    return 0

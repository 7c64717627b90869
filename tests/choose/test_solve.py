"""The choice: what may stand where, covers, balance, the seed, and that there is always an answer."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from larkslate.choose.solve import (
    Balance,
    Candidate,
    Choice,
    Cover,
    Slot,
    Task,
    noise,
    solve,
)


def word(
    name: str, *points: str, index: int = 0, value: float = 1.0, traits: str = "", family: str = ""
) -> Candidate:
    return Candidate(name, index, frozenset(points), value, frozenset(traits.split()), family)


def fair(task: Task, choice: Choice) -> None:
    """What holds for every answer, whoever found it."""
    known = {c.word: c for c in task.candidates}
    used = [w for words in choice.words.values() for w in words]
    assert len(used) == len(set(used))
    for slot in task.slots:
        words = choice.words[slot.id]
        empty = sum(s.missing for s in choice.short if s.slot == slot.id)
        assert len(words) + empty == slot.size
        assert all(slot.fits(known[w]) for w in words)
    for cover in task.covers:
        have = sum(
            1 for s in cover.slots for w in choice.words[s] if cover.point in known[w].points
        )
        assert have >= cover.least or any(s.point == cover.point for s in choice.short)


def test_a_word_stands_once_and_only_where_it_fits() -> None:
    task = Task(
        (
            word("catch", "tch", index=3),
            word("bridge", "dge", index=4),
            word("back", "ck", index=2),
        ),
        (
            Slot("early", 2, 3, frozenset({"tch", "ck", "dge"})),
            Slot("late", 1, 4, frozenset({"dge"})),
        ),
    )
    choice = solve(task)
    assert set(choice.words["early"]) == {"catch", "back"}
    assert choice.words["late"] == ("bridge",)
    assert choice.short == ()


def test_a_cover_outweighs_better_words() -> None:
    many = tuple(word(f"good{n}", "a", value=2.0) for n in range(6))
    task = Task(
        (*many, word("plain", "b", value=0.1), word("simple", "b", value=0.1)),
        (Slot("s", 4, 0, frozenset("ab")),),
        (Cover(("s",), "b", 2),),
    )
    assert {"plain", "simple"} <= set(solve(task).words["s"])


def test_what_cannot_be_had_is_reported() -> None:
    task = Task(
        (word("one", "a"), word("two", "a")),
        (Slot("s", 3, 0, frozenset("ab")),),
        (Cover(("s",), "b", 2),),
    )
    choice = solve(task)
    assert set(choice.words["s"]) == {"one", "two"}
    assert [(s.slot, s.point, s.missing) for s in choice.short] == [("s", None, 1), (None, "b", 2)]


def test_no_candidates_is_an_answer_too() -> None:
    choice = solve(Task((), (Slot("s", 2, 0, frozenset("a")),)))
    assert choice.words == {"s": ()}
    assert choice.short[0].missing == 2


def test_balance_keeps_a_mixture() -> None:
    same = tuple(word(f"a{n}", "p", value=1.3, traits="vowel:AE") for n in range(6))
    other = tuple(word(f"i{n}", "p", value=1.0, traits="vowel:IH") for n in range(3))
    slot = Slot("s", 4, 0, frozenset("p"))
    loose = solve(Task(same + other, (slot,)))
    mixed = solve(Task(same + other, (slot,), balances=(Balance(("s",), "vowel", 2, price=2.0),)))
    assert sum(w.startswith("i") for w in loose.words["s"]) < 2
    assert sum(w.startswith("i") for w in mixed.words["s"]) == 2


def test_one_family_gives_one_word_where_others_are_at_hand() -> None:
    task = Task(
        (
            word("hop", "p", value=2, family="hop"),
            word("hopped", "p", value=2, family="hop"),
            word("jump", "p", value=1),
        ),
        (Slot("s", 2, 0, frozenset("p")),),
    )
    assert "jump" in solve(task).words["s"]


def test_the_solver_beats_the_greedy_start_where_greed_goes_wrong() -> None:
    # Greed gives the only word that fits the late slot's twin place to the early slot.
    task = Task(
        (word("both", "a", "b", value=2.0), word("early", "a", value=1.5)),
        (Slot("one", 1, 0, frozenset("a")), Slot("two", 1, 0, frozenset("ab"))),
        (Cover(("two",), "b", 1),),
    )
    choice = solve(task)
    assert choice.words == {"one": ("early",), "two": ("both",)}
    assert choice.gap is not None
    assert choice.gap <= 0.005


def test_a_task_that_cannot_be_meant_is_refused() -> None:
    slot = Slot("s", 1, 0, frozenset("a"))
    with pytest.raises(ValueError, match="share an id"):
        solve(Task((), (slot, slot)))
    with pytest.raises(ValueError, match="no slot is called"):
        solve(Task((), (slot,), (Cover(("t",), "a", 1),)))


def test_noise_is_the_same_everywhere_and_differs_by_seed() -> None:
    assert noise(0, "catch") == noise(0, "catch")
    assert noise(0, "catch") != noise(1, "catch")
    assert 0 <= noise(7, "x") < 1


@st.composite
def tasks(draw: st.DrawFn) -> Task:
    points = ["p0", "p1", "p2"]
    count = draw(st.integers(0, 25))
    candidates = tuple(
        word(
            f"w{n}",
            *draw(st.sets(st.sampled_from(points), min_size=1, max_size=2)),
            index=draw(st.integers(0, 2)),
            value=draw(st.floats(0, 2)),
            traits=f"vowel:{draw(st.integers(0, 2))}",
            family=f"f{draw(st.integers(0, 20))}",
        )
        for n in range(count)
    )
    slots = tuple(
        Slot(
            f"s{n}",
            draw(st.integers(0, 5)),
            draw(st.integers(0, 2)),
            frozenset(draw(st.sets(st.sampled_from(points), min_size=1))),
        )
        for n in range(draw(st.integers(1, 4)))
    )
    ids = tuple(s.id for s in slots)
    covers = tuple(Cover(ids, p, draw(st.integers(0, 4))) for p in points)
    return Task(candidates, slots, covers, (Balance(ids, "vowel", 2),), draw(st.integers(0, 9)))


@given(tasks())
@settings(max_examples=60, deadline=None)
def test_every_answer_is_fair_repeatable_and_no_worse_than_greed(task: Task) -> None:
    greedy, best = solve(task, greedy_only=True), solve(task)
    fair(task, greedy)
    fair(task, best)
    assert best.worth >= greedy.worth - 1e-6
    assert solve(task) == best

"""A unit made by hand for the tests of the printed pages: every kind of lesson and of item is in it."""

from __future__ import annotations

from larkslate.plan.model import (
    Audit,
    Block,
    BlockKind,
    ChoosePair,
    Dictation,
    Item,
    Lesson,
    LessonKind,
    LetterItem,
    Passage,
    PlaceName,
    Role,
    Shown,
    SortItem,
    SoundItem,
    TextItem,
    UnitPlan,
    WordItem,
)
from larkslate.words.model import Spans

CK, TCH, NOT, DOUBLE, DIVIDE = "G3.01b", "G3.01c", "G3.03d", "G3.04c", "G3.03b"


def word(
    text: str,
    role: Role,
    point: str,
    *,
    mark: str = "",
    parts: str = "",
    division: str | None = None,
    full: str = "",
    sentence: str | None = None,
    note: str | None = None,
) -> WordItem:
    """A word whose letters concerned are given as text, found from its end."""
    marks: Spans = ()
    if mark:
        at = text.rindex(mark)
        marks = ((at, at + len(mark)),)
    shown = None
    if mark or parts or division or full:
        shown = Shown(
            marks,
            tuple(parts.split("+")) if parts else (),
            division,
            tuple(full.split()) if full else (),
        )
    return WordItem(text, role, (point,), "chosen by hand", sentence, note, shown)


def recall(*sounds: SoundItem) -> Block:
    return Block(
        BlockKind.RECALL,
        3,
        "Warm-up",
        say=("Write every way you know to spell this sound.",),
        do=("Say each sound once. Look along the rows.",),
        items=sounds,
    )


def hear(*words: str) -> Block:
    return Block(
        BlockKind.HEAR,
        2,
        "Hear it",
        say=("Say the word with me. Lay a counter for each sound.",),
        items=tuple(WordItem(w, Role.MODEL, (), "chosen by hand") for w in words),
    )


def hand(*letters: str, words: tuple[str, ...] = (), note: str = "") -> Block:
    return Block(
        BlockKind.HANDWRITING,
        5,
        "Handwriting",
        do=("Write the letter large on the board, twice, without talking.",),
        items=(LetterItem(letters, words, note),),
    )


def close(question: str) -> Block:
    return Block(BlockKind.CLOSE, 1, "Close", say=(question,))


def texts(*found: str, points: tuple[str, ...] = ()) -> tuple[TextItem, ...]:
    """Texts whose phrases are marked with a stroke."""
    return tuple(
        TextItem(t.replace(" | ", " "), points, tuple(t.split(" | ")), "teacher") for t in found
    )


K_SOUND = SoundItem("k", ("K",), ("c", "k", "ck"), ("cat", "kite", "duck"), CK)
CH_SOUND = SoundItem("ch", ("CH",), ("ch", "tch"), ("chin", "match"), TCH)
F_SOUND = SoundItem("f", ("F",), ("f", "ff", "ph"), ("fan", "cliff", "phone"), "K2.digraph")
J_SOUND = SoundItem("j", ("JH",), ("j", "dge"), ("jet", "badge"), "G3.01d")


def lesson(
    number: int,
    title: str,
    kind: LessonKind,
    points: tuple[str, ...],
    blocks: tuple[Block, ...],
    rule: str | None = None,
    exception: str | None = None,
) -> Lesson:
    return Lesson(f"3.{number}", 3, number, title, kind, points, rule, exception, blocks)


def words(role: Role, point: str, mark: str, *found: str) -> tuple[Item, ...]:
    return tuple(word(w, role, point, mark=mark) for w in found)


LESSON_1 = lesson(
    1,
    "ck after a short vowel",
    LessonKind.NEW,
    (CK,),
    (
        recall(F_SOUND, SoundItem("sh", ("SH",), ("sh",), ("ship",), "K2.digraph"), J_SOUND),
        hear("stick", "back", "truck"),
        Block(
            BlockKind.NEW_POINT,
            7,
            "New point",
            say=("Look at these three words. What is the same?", "Which letters spell /k/?"),
            do=("Write the three words one below the other. Wait for an answer.",),
            items=(
                *words(Role.MODEL, CK, "ck", "back", "stick", "clock"),
                word("milk", Role.NEAR_MISS, CK, mark="k", note="a consonant comes before /k/"),
                word("book", Role.NEAR_MISS, CK, mark="k", note="two vowel letters come before /k/"),
            ),
        ),
        Block(
            BlockKind.TOGETHER,
            6,
            "Build and write together",
            do=("Say the word. Children build it, write it, and check it before the next.",),
            items=(
                word("neck", Role.TOGETHER, CK, mark="ck", sentence="A swan has a long neck."),
                word("snack", Role.TOGETHER, CK, mark="ck", sentence="We had a snack at noon."),
                word("brick", Role.TOGETHER, CK, mark="ck", sentence="The house is made of brick."),
                word("duck", Role.TOGETHER, CK, mark="ck", sentence="The duck swam past us."),
                word("shock", Role.TOGETHER, CK, mark="ck", sentence="The cold water was a shock."),
                word("desk", Role.NEAR_MISS, CK, mark="k", sentence="My pencil is on my desk.",
                     note="a consonant comes before /k/"),
            ),
        ),
        Block(
            BlockKind.ALONE,
            6,
            "Practice alone",
            say=("Listen, say it to yourself, write it.",),
            items=(
                word("track", Role.ALONE, CK, mark="ck", sentence="The train is on the track."),
                word("sock", Role.ALONE, CK, mark="ck", sentence="There is a hole in my sock."),
                *texts("a thick stick", "The black duck | sat on a rock."),
            ),
        ),
        hand("i", "t", words=("it", "tilt")),
        close("When do you write ck?"),
    ),
    "At the end of a short word, right after one short vowel letter, write ck for /k/.",
    "Longer words can end in c: music, picnic.",
)  # fmt: skip

LESSON_2 = lesson(
    2,
    "tch after a short vowel",
    LessonKind.NEW,
    (TCH, CK),
    (
        recall(K_SOUND, F_SOUND, J_SOUND),
        hear("catch", "fetch", "pitch"),
        Block(
            BlockKind.NEW_POINT,
            7,
            "New point",
            say=("Look at these three words. What is the same?",),
            items=(
                *words(Role.MODEL, TCH, "tch", "catch", "fetch", "pitch"),
                word("lunch", Role.NEAR_MISS, TCH, mark="ch", note="a consonant comes before /ch/"),
                word("teach", Role.NEAR_MISS, TCH, mark="ch", note="two vowel letters come before /ch/"),
                word("many", Role.IRREGULAR, TCH, mark="a", note="a spells the short e sound"),
                word("again", Role.IRREGULAR, TCH, mark="ai", note="ai spells the short e sound"),
            ),
        ),
        Block(
            BlockKind.TOGETHER,
            6,
            "Build and write together",
            items=words(Role.TOGETHER, TCH, "tch", "match", "stitch", "notch", "clutch", "patch", "switch"),
        ),
        Block(
            BlockKind.ALONE,
            6,
            "Practice alone",
            items=(
                word("hatch", Role.ALONE, TCH, mark="tch", sentence="The eggs will hatch soon."),
                word("sketch", Role.ALONE, TCH, mark="tch", sentence="I made a sketch of the lake."),
                word("quick", Role.REVIEW, CK, mark="ck", sentence="The fish was too quick for us."),
                word("lunch", Role.NEAR_MISS, TCH, mark="ch", sentence="We eat lunch at noon.",
                     note="a consonant comes before /ch/"),
                *texts("a match and a switch", "Can the dog | catch a stick | and fetch it?"),
            ),
        ),
        hand("u", "w", words=("wit",), note="w ends at the midline."),
        close("Which sound do the letters tch spell together?"),
    ),
    "At the end of a short word, right after one short vowel letter, write tch for /ch/.",
    "These words end in ch all the same: much, such, rich, which.",
)  # fmt: skip

LESSON_3 = lesson(
    3,
    "Sort and choose: ck, k, tch, ch",
    LessonKind.MIX,
    (CK, TCH),
    (
        recall(K_SOUND, CH_SOUND),
        Block(
            BlockKind.SORT,
            10,
            "Sort",
            say=("Read the word. Look at the letters before the last sound.",),
            items=(
                SortItem(
                    ("tch", "ch", "ck", "k"),
                    ("lunch", "stick", "milk", "patch", "beach", "clock", "hook", "switch",
                     "snack", "desk", "such", "fetch"),
                    (1, 2, 3, 0, 1, 2, 3, 0, 2, 3, 1, 0),
                ),
            ),
        ),
        Block(
            BlockKind.ALONE,
            10,
            "Write",
            items=(
                *words(Role.ALONE, TCH, "tch", "scratch", "crutch"),
                *words(Role.ALONE, CK, "ck", "block", "trick"),
                word("bench", Role.NEAR_MISS, TCH, mark="ch"),
                word("bunk", Role.NEAR_MISS, CK, mark="k"),
                *texts("I have an itch | on my back | and on my neck."),
            ),
        ),
        hand("e", "l", words=("tell", "well")),
        close("Say one word with tch and one with ch."),
    ),
)  # fmt: skip


def not_word(text: str, full: str, role: Role, **more: str | None) -> WordItem:
    return word(text, role, NOT, full=full, **more)  # type: ignore[arg-type]


LESSON_4 = lesson(
    4,
    "Verb and not in one word",
    LessonKind.NEW,
    (NOT,),
    (
        recall(K_SOUND, CH_SOUND, J_SOUND),
        Block(
            BlockKind.NEW_POINT,
            7,
            "New point",
            say=("Two words become one. Which letter leaves?", "What takes its place?"),
            items=(
                not_word("don't", "do not", Role.MODEL),
                not_word("isn't", "is not", Role.MODEL),
                not_word("shouldn't", "should not", Role.MODEL),
                not_word("can't", "cannot", Role.NEAR_MISS, note="from cannot: two letters leave, n and o"),
                not_word("won't", "will not", Role.NEAR_MISS, note="from will not: will changes to wo"),
            ),
        ),
        Block(
            BlockKind.TOGETHER,
            8,
            "Build and write together",
            items=(
                not_word("aren't", "are not", Role.TOGETHER),
                not_word("wasn't", "was not", Role.TOGETHER),
                not_word("didn't", "did not", Role.TOGETHER),
                not_word("haven't", "have not", Role.TOGETHER),
                not_word("couldn't", "could not", Role.TOGETHER),
                not_word("doesn't", "does not", Role.TOGETHER),
            ),
        ),
        Block(
            BlockKind.ALONE,
            6,
            "Practice alone",
            items=(
                not_word("hasn't", "has not", Role.ALONE, sentence="She hasn't had lunch."),
                not_word("weren't", "were not", Role.ALONE, sentence="They weren't at the dock."),
                *texts("We didn't see | the duck again."),
            ),
        ),
        hand("h", "k", words=("hill", "kettle")),
        close("What does the apostrophe tell you in don’t?"),
    ),
    "Put the verb and not together: the o leaves, and the apostrophe takes its place.",
    "Two do not follow: can’t comes from cannot, and will not becomes won’t.",
)  # fmt: skip


def checkpoint(form: str, sentence: str, *found: tuple[str, str]) -> Dictation:
    return Dictation(
        form,
        words=tuple(word(w, Role.FRESH, TCH, sentence=said) for w, said in found),
        sentences=texts(sentence),
    )


LESSON_5 = lesson(
    5,
    "Checkpoint",
    LessonKind.CHECKPOINT,
    (CK, TCH, NOT),
    (
        recall(K_SOUND, CH_SOUND),
        Block(
            BlockKind.DICTATION,
            12,
            "Dictation",
            say=("Listen to the word and its sentence. Then write the word.",),
            items=(
                checkpoint(
                    "A", "The sick chick didn't | peck at its lunch.",
                    ("crack", "There is a crack in the cup."),
                    ("stretch", "Stretch your arms up high."),
                    ("bench", "We sat on the bench."),
                    ("flock", "A flock of geese flew by."),
                    ("ditch", "The ball fell in the ditch."),
                    ("hadn't", "I hadn't seen the map."),
                    ("cheek", "The baby has a red cheek."),
                    ("thick", "The ice is thick."),
                    ("such", "It was such a good day."),
                    ("aren't", "The boats aren't in yet."),
                ),
                checkpoint(
                    "B", "The quick fish wasn't | easy to catch.",
                    ("stack", "Make a stack of the books."),
                    ("hitch", "We hitch the cart to the horse."),
                    ("ranch", "There are ten cows on the ranch."),
                    ("shock", "The news was a shock."),
                    ("latch", "Close the latch on the gate."),
                    ("wasn't", "It wasn't my turn."),
                    ("week", "We swim twice a week."),
                    ("pluck", "She can pluck the strings."),
                    ("rich", "The soil is dark and rich."),
                    ("weren't", "The boots weren't mine."),
                ),
            ),
        ),
        Block(BlockKind.CHECK, 9, "Check and mend", do=("Show the words one by one.",)),
        hand("b", "f", words=("fell", "bill")),
        close("Which word will you look at again?"),
    ),
)  # fmt: skip

LESSON_6 = lesson(
    6,
    "Double the last consonant",
    LessonKind.NEW,
    (DOUBLE,),
    (
        recall(K_SOUND, CH_SOUND, F_SOUND),
        Block(
            BlockKind.NEW_POINT,
            7,
            "New point",
            say=("Count the vowel letters in the base.", "Count the consonant letters at its end."),
            items=(
                word("running", Role.MODEL, DOUBLE, parts="run+ing", mark="nn"),
                word("hopped", Role.MODEL, DOUBLE, parts="hop+ed", mark="pp"),
                word("bigger", Role.MODEL, DOUBLE, parts="big+er", mark="gg"),
                word("jumping", Role.NEAR_MISS, DOUBLE, mark="mp", note="jump ends in two consonant letters"),
                word("raining", Role.NEAR_MISS, DOUBLE, mark="ai", note="rain has two vowel letters"),
            ),
        ),
        Block(
            BlockKind.TOGETHER,
            7,
            "Build and write together",
            items=(
                word("stopped", Role.TOGETHER, DOUBLE, parts="stop+ed", mark="pp"),
                word("swimming", Role.TOGETHER, DOUBLE, parts="swim+ing", mark="mm"),
                word("hottest", Role.TOGETHER, DOUBLE, parts="hot+est", mark="tt"),
                word("planned", Role.TOGETHER, DOUBLE, parts="plan+ed", mark="nn"),
                word("helping", Role.NEAR_MISS, DOUBLE, parts="help+ing", mark="lp"),
                word("thinner", Role.TOGETHER, DOUBLE, parts="thin+er", mark="nn"),
            ),
        ),
        Block(
            BlockKind.ALONE,
            6,
            "Practice alone",
            items=(
                word("clapped", Role.ALONE, DOUBLE, sentence="We clapped at the end of the song."),
                word("sitting", Role.ALONE, DOUBLE, sentence="The cat is sitting on the mat."),
                word("wetter", Role.ALONE, DOUBLE, sentence="My boots got wetter and wetter."),
                word("resting", Role.NEAR_MISS, DOUBLE, sentence="The duck is resting."),
                *texts("Mom slipped | and dropped the eggs."),
            ),
        ),
        hand("c", "a", words=("catch", "back")),
        close("What do you look for before you double?"),
    ),
    "A short base with one vowel letter and one consonant letter at the end: double that consonant "
    "before an ending that begins with a vowel letter.",
    "We never double w, x or y: snowing, fixing, playing.",
)  # fmt: skip

LESSON_7 = lesson(
    7,
    "Divide between two consonants",
    LessonKind.NEW,
    (DIVIDE,),
    (
        recall(J_SOUND, CH_SOUND),
        Block(
            BlockKind.NEW_POINT,
            7,
            "New point",
            say=("Find the vowel letters. What stands between them?",),
            items=(
                word("napkin", Role.MODEL, DIVIDE, division="nap-kin", mark="pk"),
                word("basket", Role.MODEL, DIVIDE, division="bas-ket", mark="sk"),
                word("velvet", Role.MODEL, DIVIDE, division="vel-vet", mark="lv"),
                word("rocket", Role.NEAR_MISS, DIVIDE, division="rock-et", mark="ck",
                     note="ck is one spelling; it stays together"),
                word("hotel", Role.NEAR_MISS, DIVIDE, division="ho-tel", mark="t",
                     note="there is only one consonant letter"),
            ),
        ),
        Block(
            BlockKind.TOGETHER,
            6,
            "Build and write together",
            items=(
                word("magnet", Role.TOGETHER, DIVIDE, division="mag-net"),
                word("insect", Role.TOGETHER, DIVIDE, division="in-sect"),
                word("pencil", Role.TOGETHER, DIVIDE, division="pen-cil"),
                word("contest", Role.TOGETHER, DIVIDE, division="con-test"),
                word("admit", Role.TOGETHER, DIVIDE, division="ad-mit"),
                word("trumpet", Role.TOGETHER, DIVIDE, division="trum-pet"),
            ),
        ),
        Block(
            BlockKind.ALONE,
            7,
            "Practice alone",
            items=(
                word("picnic", Role.ALONE, DIVIDE, sentence="We had a picnic by the lake."),
                word("plastic", Role.ALONE, DIVIDE, sentence="The cup is made of plastic."),
                *texts("The insect sat | on a napkin | in the basket."),
            ),
        ),
        hand("d", "g", words=("dig", "edge")),
        close("Where do you divide velvet?"),
    ),
    "Two different consonant letters between two vowel letters: divide between them.",
    "Two letters that spell one sound stay together: rock·et, fa·ther.",
)  # fmt: skip

LESSON_8 = lesson(
    8,
    "Everything together",
    LessonKind.MIX,
    (CK, TCH, NOT, DOUBLE, DIVIDE),
    (
        recall(K_SOUND, CH_SOUND, J_SOUND, F_SOUND),
        Block(
            BlockKind.SORT,
            8,
            "Sort",
            items=(
                SortItem(
                    ("double the consonant", "just add the ending"),
                    ("hop + ing", "fish + ing", "mop + ed", "camp + er", "rain + ed", "wet + est",
                     "sit + ing", "pack + ed"),
                    (0, 1, 0, 1, 1, 0, 0, 1),
                ),
            ),
        ),
        Block(
            BlockKind.ALONE,
            12,
            "Write",
            items=(
                *texts("a plastic bucket", "hopped off the bench",
                       "I don't have a pencil | with me.",
                       "Tom wasn't running | when he dropped | the basket."),
            ),
        ),
        hand("o", "n", words=("noon", "contest")),
        close("Which of these was the hardest today?"),
    ),
)  # fmt: skip


def gap(text: str, point: str) -> WordItem:
    return word(text, Role.FRESH, point)


FORM_A = Dictation(
    "A",
    passage=Passage(
        "The Lost Hat",
        "We walked down the track to the lake. Mom had a picnic in her bag. I sat on a patch of "
        "grass to sketch the dock. Then I slipped on a wet stone. I grabbed the dock, but my hat "
        "fell in. We couldn't reach it. The hat came back on the next wave! I ran to check it. "
        "It wasn't even torn. A big insect sat on top.",
        (
            gap("track", CK), gap("picnic", DIVIDE), gap("patch", TCH), gap("sketch", TCH),
            gap("slipped", DOUBLE), gap("grabbed", DOUBLE), gap("couldn't", NOT), gap("check", CK),
            gap("wasn't", NOT), gap("insect", DIVIDE),
        ),
        texts("The hat came back | on the next wave!"),
        (
            "We walked down the track", "to the lake.", "Mom had a picnic", "in her bag.",
            "I sat on a patch of grass", "to sketch the dock.", "Then I slipped", "on a wet stone.",
            "I grabbed the dock,", "but my hat fell in.", "We couldn't reach it.",
            "The hat came back", "on the next wave!", "I ran to check it.", "It wasn't even torn.",
            "A big insect", "sat on top.",
        ),
    ),
    places=(
        PlaceName("Splock", ("S", "P", "L", "AA1", "K"), "splock, as in clock", ("Splock",), (CK,)),
        PlaceName("Kreff", ("K", "R", "EH1", "F"), "kreff, as in chef", ("Kreff", "Creff"), ("G3.01a",)),
        PlaceName("Tembin", ("T", "EH1", "M", "B", "IH0", "N"), "TEM-bin", ("Tembin",), (DIVIDE,)),
    ),
    pairs=(
        ChoosePair("The rabbit was", ("hopping", "hoping"), "over the log.", "hopping",
                   "hop has one vowel letter and one consonant letter at the end: p doubles", (DOUBLE,)),
        ChoosePair("The twins", ("aren't", "isn't"), "at school today.", "aren't",
                   "two children: are not", (NOT,)),
    ),
)  # fmt: skip

FORM_B = Dictation(
    "B",
    passage=Passage(
        "In the Old Shed",
        "There was a noise in the old shed. We opened the latch and went in. It was dark, so I "
        "gripped my lamp. A sack fell off the hook. I went to check. Then a small kitten stepped "
        "out from the hay. It wasn't sad at all. It didn't hiss or scratch. We gave it milk in a "
        "plastic lid. The kitten licked the lid clean.",
        (
            gap("latch", TCH), gap("gripped", DOUBLE), gap("sack", CK), gap("check", CK),
            gap("kitten", "G3.03a"), gap("stepped", DOUBLE), gap("wasn't", NOT), gap("didn't", NOT),
            gap("scratch", TCH), gap("plastic", DIVIDE),
        ),
        texts("The kitten licked | the lid clean."),
    ),
    places=(
        PlaceName("Dratch", ("D", "R", "AE1", "CH"), "dratch, as in catch", ("Dratch",), (TCH,)),
        PlaceName("Vock", ("V", "AA1", "K"), "vock, as in sock", ("Vock",), (CK,)),
        PlaceName("Sunlet", ("S", "AH1", "N", "L", "EH0", "T"), "SUN-let", ("Sunlet",), (DIVIDE,)),
    ),
    pairs=(
        ChoosePair("She is", ("planning", "planing"), "a trip to the lake.", "planning",
                   "plan has one vowel letter and one consonant letter at the end: n doubles", (DOUBLE,)),
        ChoosePair("He", ("doesn't", "don't"), "like mud.", "doesn't", "he does not", (NOT,)),
    ),
)  # fmt: skip

LESSON_9 = lesson(
    9,
    "Dictation",
    LessonKind.DICTATION,
    (CK, TCH, NOT, DOUBLE, DIVIDE),
    (Block(BlockKind.DICTATION, 25, "Dictation", items=(FORM_A, FORM_B)), close("Rest your hand.")),
)

LESSON_10 = lesson(
    10,
    "Mend and move on",
    LessonKind.RESPOND,
    (CK, DOUBLE),
    (
        Block(BlockKind.CHECK, 8, "Check and mend"),
        Block(
            BlockKind.GROUPS,
            15,
            "Groups",
            items=(
                *words(Role.REVIEW, CK, "ck", "peck", "lick", "stuck"),
                *words(Role.REVIEW, TCH, "tch", "itch", "witch"),
                *texts("Jack and I | packed a lunch."),
            ),
        ),
        hand("q", "m", words=("quick", "magnet")),
        close("What can you do now that was hard before?"),
    ),
)

UNIT = UnitPlan(
    3,
    "After a short vowel",
    "Spell the end of a short word and join an ending to it.",
    (CK, TCH, NOT, DOUBLE, DIVIDE),
    ("many", "again"),
    1,
    (LESSON_1, LESSON_2, LESSON_3, LESSON_4, LESSON_5, LESSON_6, LESSON_7, LESSON_8, LESSON_9, LESSON_10),
    Audit(0, (), (), {}, {}),
)  # fmt: skip

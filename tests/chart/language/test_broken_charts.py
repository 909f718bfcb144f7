"""Broken charts, one per kind of mistake: each error names its place and what to do."""

from __future__ import annotations

import re

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.limits import MAX_PROBLEMS, MAX_WRITTEN_BARS
from porchswing.errors import ChartError

# what is wrong, the chart, line, column, words of the message, words of the hint
BROKEN = (
    ("unknown key", "titel: x\n[A]\n| F |", 1, 1, "unknown key 'titel'", "title"),
    ("key by another word", "bpm: 90\n[A]\n| F |", 1, 1, "unknown key 'bpm'", "mean tempo?"),
    ("meter by another word", "time: 3/4\n[A]\n| F |", 1, 1, "unknown key", "mean meter?"),
    ("equals sign", "title: x\ntempo = 90\n[A]\n| F |", 2, 1, "understand", "write tempo: 90"),
    ("semicolon", "title: x\nkey; F\n[A]\n| F |", 2, 1, "understand", "write key: F"),
    ("section with a colon", "A:\n| F |", 1, 1, "unknown key 'A'", "in brackets: [A]"),
    ("form without spaces", "form: AABA\n[A]\n| F |\n[B]\n| C |", 1, 7, "'AABA'", "A A B A"),
    ("form with dashes", "form: A-B\n[A]\n| F |\n[B]\n| C |", 1, 7, "'A-B'", "spaces: A B"),
    ("form by the thousand", "form: A x9999 B x2\n[A]\n|: F :|\n[B]\n| C |", 1, 9,
     "1 to 16 times in a row, got x9999; this form would be 20,000 bars",
     "--choruses plays the whole form up to 200 times, 10,000 bars at most"),
    ("form without end", f"form: A x{'9' * 99}\n[A]\n| F |", 1, 9,
     "would be a million million or more bars", "--choruses"),
    ("form of too many sections", f"form: A x16{' x16' * 15}\n[A]\n| F |", 1, 61,
     "at most 200 sections; this form would be 241 bars", "--choruses"),
    ("form played no times", "form: A x0\n[A]\n| F |", 1, 9, "in a row, got x0", "--choruses"),
    ("lock with spaces", "[A]\n| C | Dm7 @ 5 5 5 5 | F |", 2, 7, "without spaces",
     "write Dm7@5555"),
    ("lock with spaces and two digits", "[A]\n| Dm7@9 10 10 10 |", 2, 3, "without spaces",
     "write Dm7@9-10-10-10"),
    ("lock after a space", "[A]\n| Dm7 @5555 |", 2, 3, "without spaces", "write Dm7@5555"),
    ("lock after a space, cut short", "[A]\n| C Dm7 @ 5 |", 2, 5, "without spaces", "Dm7@3435"),
    ("quality after a space", "[A]\n| F 7 |", 2, 5, "letter A to G", "did you mean F7, without"),
    ("mark after a space", "[A]\n| F C {slide} |", 2, 7, "must follow", "did you mean C{slide}"),
    ("dash between chords", "[A]\n| F - C7 |", 2, 5, "got '-'", "N.C."),
    ("printed dash for a bar line", "[A]\n| F – C7 |", 2, 5, "got '–'", "sign between bars |"),
    ("dots for beats", "[A]\n| F . |", 2, 5, "got '.'", "further beat of the chord before is /"),
    ("marks in brackets", "[A]\n| Dm7[slide] |", 2, 6, "'[slide]'", "in braces: Dm7{slide}"),
    ("section in round brackets", "(A)\n| F |", 1, 1, "understand", "in brackets: [A]"),
    ("section in braces", "[A]\n| F |\n{B 2}\n| C |", 3, 1, "understand", "in brackets: [B-2]"),
    ("later section with a colon", "[A]\n| F |\nBridge:\n| C |", 3, 1, "'Bridge'", "[Bridge]"),
    ("chords among words", "[A]\n| F |\n[F]La [C]la\n", 3, 1, "in brackets", "in a line words |"),
    ("times before the name", "form: 2xA B\n[A]\n| F |\n[B]\n| C |", 1, 7, "'2xA'", "A x2"),
    ("strokes for a strum", "strum: D DU UDU\n[A]\n| F |", 1, 8, "name of a pattern",
     "porchswing list patterns"),
    ("meter as a sign", "meter: C\n[A]\n| F |", 1, 8, "n/4 or n/8", "did you mean 4/4?"),
    ("meter in words", "meter: Waltz\n[A]\n| F |", 1, 8, "n/4 or n/8", "did you mean 3/4?"),
    ("meter with a colon", "meter: 6:8\n[A]\n| F |", 1, 8, "n/4 or n/8", "did you mean 6/8?"),
    ("two tempos", "tempo: 100-120\n[A]\n| F |", 1, 8, "30 to 400", "one number: 100 or 120"),
    ("tempo as printed", "tempo: ♩ = 92\n[A]\n| F |", 1, 8, "30 to 400", "one number: 92"),
    ("swing in words", "swing: Triplet\n[A]\n| F |", 1, 8, "not a swing ratio", "mean 2?"),
    ("German key", "key: B-Dur\n[A]\n| F |", 1, 6, "unknown key 'B-Dur'", "did you mean Bb?"),
    ("key as spoken", "key: f sharp minor\n[A]\n| F |", 1, 6, "unknown", "mean F# minor?"),
    ("a page of the web", "<html>F Dm7</html>\n[A]\n| F |", 1, 1, "understand", "looks like"),
    ("small key", "key: f\n[A]\n| F |", 1, 6, "write F, or F minor", "Bb or G minor"),
    ("place of swing without its sign", "swing: 66\n[A]\n| F |", 1, 8, "50% to 80%", "66%"),
    ("sharp in letters", "[A]\n| C7sharp9 |", 2, 5, "'C7sharp9'", "mean C7#9?"),
    ("key given twice", "key: F\nkey: G\n[A]\n| F |", 2, 1, "already given in line 1", "leave"),
    ("no value", "key: F\ntempo:\n[A]\n| F |", 2, 1, "tempo has no value", "leave the line out"),
    ("no key", "key:  H\n[A]\n| F |", 1, 7, "unknown key 'H'", "did you mean B?"),
    ("no note", "key: Q\n[A]\n| F |", 1, 6, "perhaps with the word minor", "Bb or G minor"),
    ("odd meter", "meter: 4/3\n[A]\n| F |", 1, 8, "n/4 or n/8", "6/8"),
    ("tempo out of range", "tempo: 20\n[A]\n| F |", 1, 8, "30 to 400", "120"),
    ("swing out of range", "swing: 9\n[A]\n| F |", 1, 8, "1 (straight) to 4", "triplet"),
    ("no swing ratio", "swing: lots\n[A]\n| F |", 1, 8, "not a swing ratio", "66%"),
    ("unknown section in form", "form: A Brdge\n[A]\n| F |\n[Bridge]\n| C |", 1, 9, "'Brdge'",
     "did you mean Bridge?"),
    ("unknown ending", "ending: Tagg\n[A]\n| F |\n[Tag]\n| C |", 1, 9, "'Tagg'", "Tag"),
    ("times without a section", "form: x2 A\n[A]\n| F |", 1, 7, "needs a section", "A x2"),
    ("section twice", "[A]\n| F |\n[A]\n| C |", 3, 1, "already there, in line 1", "another name"),
    ("section without bars", "[A]\n| F |\n[B]\n", 3, 1, "section B has no bars", "| F | C7 |"),
    ("section not closed", "[A\n| F |", 1, 1, "name in brackets", "[A]"),
    ("section of two words", "[First part]\n| F |", 1, 1, "one word", "Second-verse"),
    ("a line without bars", "[A]\n| F |\n  plain  |\n", 3, 10, "this line has no bars", "| F |"),
    ("no bars at all", "title: x\n", 1, 1, "no bars", "[A]"),
    ("unknown chord", "[A]\n| F | Gmn7 |", 2, 9, "unknown chord 'Gmn7'", "Gm7"),
    ("small root", "[A]\n| f |", 2, 3, "letter A to G", "F"),
    ("three chords in four", "[A]\n| F Dm7 G |", 2, 3, "do not share 4 beats", "/"),
    ("too many chords", "[A]\n| F F F F F |", 2, 3, "has 5 chords", "push"),
    ("slashes do not add up", "[A]\n| F / / |", 2, 3, "has 3 beats, and a bar of 4/4 has 4",
     "one beat"),
    ("slash first", "[A]\n| / F / / |", 2, 3, "chord before it", "%"),
    ("percent first", "[A]\n| % | F |", 2, 3, "repeats the bar before it", "first bar"),
    ("percent among chords", "[A]\n| F | F % |", 2, 9, "must be alone", "whole bar"),
    ("empty bar", "[A]\n| F | | C |", 2, 5, "empty", "N.C."),
    ("lock of two strings", "[A]\n| C7@78 |", 2, 6, "each string, 3 to 6, got 2", "@3435"),
    ("lock that is no fret", "[A]\n| C7@7h77 |", 2, 7, "got 'h'", "@9-10-10-10"),
    ("lock too high", "[A]\n| C7@9-10-10-90 |", 2, 14, "up to 24, got 90", ""),
    ("lock on silence", "[A]\n| N.C.@7877 |", 2, 7, "silence has no grip", "leave"),
    ("unknown mark", "[A]\n| C7{slyde} |", 2, 6, "unknown playing mark 'slyde'", "slide"),
    ("braces not closed", "[A]\n| C7{slide |", 2, 5, "one pair of braces", "{slide,roll}"),
    ("lane misspelled", "[A]\nplane | F |\n| F |", 2, 1, "unknown lane 'plane'", "plain"),
    ("lanes of two lengths", "[A]\nplain | F | C7 |\nswing | F |", 3, 9, "1 bars, the plain lane 2",
     "%"),
    ("swing lane alone", "[A]\nswing | F |", 1, 1, "no plain lane", "beginner"),
    ("repeats differ", "[A]\nplain |: F :| C7 |\nswing | F |: C7 :|", 3, 9, "repeats", "plain"),
    ("repeat not closed", "[A]\n|: F | C7 |", 2, 4, "never closed", ":|"),
    ("repeat in a repeat", "[A]\n|: F |: C7 :|", 2, 9, "inside another", ":|"),
    ("second ending first", "[A]\n|: F |2 C7 :|", 2, 9, "expected ending 1, got |2", "space"),
    ("first ending not closed", "[A]\n|: F |1 C7 | F |", 2, 9, "first ending is not closed", "|2"),
    ("repeat a thousand times", "[A]\n|: F :|x999 |", 2, 6, "2 to 16 times", ":|x3"),
    ("header key in a section", "[A]\n| F |\ntitle: x", 3, 1, "above the first section", "strum"),
    ("setting after the last bar", "[A]\n| F |\nstrum: four", 3, 8, "after the section's last bar",
     "above"),
    ("setting twice", "[A]\nstrum: four\nstrum: rag\n| F |", 3, 1, "already set", "leave"),
    ("string out of range", "[A]\nline: 9 down\n| F |", 2, 7, "numbered 1 to 6", ""),
    ("line sideways", "[A]\nline: 4 left\n| F |", 2, 9, "down or up", "4 down"),
    ("window upside down", "[A]\nfrets: 8-4\n| F |", 2, 8, "got 8-4", "4-8"),
    ("melody does not add up", "[A]\n| F |\nmelody | A4:2 C5:1 |", 3, 10, "has 3 beats", "r is"),
    ("melody without length", "[A]\n| F |\nmelody | A4 |", 3, 10, "pitch and its beats", "A4:2"),
    ("melody that is no pitch", "[A]\n| F |\nmelody | H4:4 |", 3, 10, "got 'H4'", "Bb4"),
    ("syllables that would share the bar", "[A]\n| F |\nwords | Ket-tle on the |", 3, 9,
     "3 words and signs, which do not share 4 beats", "Lan- tern, with a space"),
    ("words that do not share the bar", "[A]\n| F |\nwords | a b c |", 3, 9,
     "3 words and signs, which do not share 4 beats", "here 4 would: _ holds"),
    ("words before their hyphen", "[A]\n| F |\nwords | Lan -tern |", 3, 13, "hyphen follows",
     "Lan-tern"),
    ("words with two hyphens", "[A]\n| F |\nwords | Lan--tern |", 3, 13, "two hyphens", "letter"),
    ("words held after a gap", "[A]\n| F |\nwords | a * _ b |", 3, 13, "holds the syllable before",
     "* is a gap"),
    ("words with a percent sign", "[A]\n| F |\nwords | % |", 3, 9, "not its words", "again"),
    ("words for too many bars", "[A]\n| F |\nwords | a | b |", 3, 13, "2 bars, the plain lane 1",
     "words 2 | ... |"),
    ("second verse for too many bars", "[A]\n| F |\nwords | a |\nwords 2 | a | b |", 4, 15,
     "the words 2 lane of section A has 2 bars", "words 3 | ... |"),
    ("words for too few bars", "[A]\n| F | C |\nwords | a |", 3, 9, "1 bars, the plain lane 2",
     "* is a bar without words"),
    ("second verse without a first", "[A]\n| F |\nwords 2 | a |", 3, 11,
     "words 2 comes without words", "from 1"),
    ("verse out of number", "[A]\n| F |\nwords 99 | a |", 3, 1, "numbered 1 to 20, got 99", ""),
    ("words misspelled", "[A]\n| F |\nword | a |", 3, 1, "unknown lane 'word'", "words"),
    ("words as a key", "[A]\n| F |\nwords: a", 3, 1, "unknown key 'words'", "words | ... |"),
    ("syllable of spaces", "[A]\n| F |\nwords | ~ |", 3, 9, "has a letter", "*"),
    ("range upside down", "range: D5 A3\n[A]\n| F |", 1, 8, "lowest and highest note", "A3 D5"),
    ("numbers not asked for", "[A]\n| ii7 |", 2, 3, "letter A to G", "numbers: yes"),
    ("number chord taken for an ending", "numbers: yes\n[A]\n|1 6m7 2m7 57 |", 3, 4, "3 chords",
     "put a space before a chord"),
    ("unknown number chord", "numbers: yes\n[A]\n| iiq7 |", 3, 5, "iiq7", ""),
    ("not a line of the language", "[A]\n| F |\nhello there", 3, 1, "cannot understand",
     "a comment begins with #"),
    ("control character", "title: a\x07b\n[A]\n| F |", 1, 9, "control character", "delete"),
    ("number out of range", "seed: -1\n[A]\n| F |", 1, 7, "whole number", ""),
    ("neither yes nor no", "numbers: maybe\n[A]\n| F |", 1, 10, "yes or no", ""),
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "line", "column", "message", "hint"),
    [case[1:] for case in BROKEN],
    ids=[case[0].replace(" ", "-") for case in BROKEN],
)
def test_one_mistake_gives_one_helpful_error(
    text: str, line: int, column: int, message: str, hint: str
) -> None:
    with pytest.raises(ChartError) as caught:
        parse_chart(text, "x.changes")
    assert len(caught.value.problems) == 1, str(caught.value)
    (problem,) = caught.value.problems
    assert (problem.line, problem.column) == (line, column), str(problem)
    assert message in problem.message
    assert hint in problem.hint
    shown = str(problem).splitlines()
    assert shown[0] == f"x.changes:{line}:{column}: {problem.message}"
    assert shown[1].strip() == text.split("\n")[line - 1].strip() or "\x07" in text
    assert shown[2].index("^") == 4 + column - 1


def test_there_are_more_than_twenty_kinds() -> None:
    assert len({case[0] for case in BROKEN}) == len(BROKEN) > 20


def test_one_run_reports_every_mistake_in_order() -> None:
    """All broken charts that can stand in one file, one below the other."""
    text = (
        "titel: x\ntempo: 5\n\n[A]\n| F Dm7 G | Cfoo |\nswng | F |\n| F / / | C7@78 |\n\n"
        "[B]\n| F{slyde} | % % |\nform: A\n"
    )
    with pytest.raises(ChartError) as caught:
        parse_chart(text)
    places = [(problem.line, problem.column) for problem in caught.value.problems]
    assert places == [
        (1, 1), (2, 8), (5, 3), (5, 14), (6, 1), (7, 3), (7, 14), (10, 5), (10, 14), (11, 1)
    ]  # fmt: skip


def test_a_section_that_lacks_its_bracket_is_still_known_by_its_name() -> None:
    with pytest.raises(ChartError) as caught:
        parse_chart("form: A C\n[A]\n| F |\n[B\n| F |\n")
    assert next(problem.hint for problem in caught.value.problems) == "known: A B"


def test_a_thousand_mistakes_are_cut_short() -> None:
    with pytest.raises(ChartError) as caught:
        parse_chart("[A]\n" + "| Q |\n" * 1000)
    assert len(caught.value.problems) == MAX_PROBLEMS + 1
    assert f"and {1000 - MAX_PROBLEMS} more" in caught.value.problems[-1].message


def test_every_wrong_bar_of_a_long_melody_counts_once() -> None:
    bars = 2 * MAX_PROBLEMS
    with pytest.raises(ChartError) as caught:
        parse_chart(f"[A]\nplain {'| F ' * bars}|\nmelody {'| H4:4 ' * bars}|\n")
    assert f"and {bars - MAX_PROBLEMS} more" in caught.value.problems[-1].message


def test_brackets_that_only_close_end_with_their_word() -> None:
    with pytest.raises(ChartError, match=re.escape("the brackets of 'C)' do not pair up")):
        parse_chart("[A]\n| C) F |\n")


def test_only_a_form_is_told_to_part_its_sections() -> None:
    hints = []
    for key in ("form", "intro", "ending"):
        with pytest.raises(ChartError) as caught:
            parse_chart(f"{key}: AB\n[A]\n| F |\n[B]\n| C |\n")
        hints.append("parted by spaces" in caught.value.problems[0].hint)
    assert hints == [True, False, False]


def test_a_line_that_does_not_read_has_its_place_at_its_first_bar_line() -> None:
    with pytest.raises(ChartError) as caught:
        parse_chart("[A]\nplain | F |\nwords 3 | la :|x99 |\n")
    without, repeat = caught.value.problems
    assert ("words 3 comes without words" in without.message, without.column) == (True, 9)
    assert ("a repeat is played" in repeat.message, repeat.column) == (True, 14)


def test_a_chart_of_3000_bars_gets_one_clear_sentence() -> None:
    with pytest.raises(ChartError) as caught:
        parse_chart("[A]\n" + "| F | C7 | F | C7 |\n" * 750)
    (problem,) = caught.value.problems
    assert f"at most {MAX_WRITTEN_BARS:,}" in problem.message
    assert "repeats" in problem.hint


def test_a_long_line_is_not_shown_whole() -> None:
    with pytest.raises(ChartError) as caught:
        parse_chart("[A]\n| " + "F " * 40_000 + "|")
    assert len(str(caught.value)) < 1000


def test_signs_that_turn_the_direction_of_writing_are_left_out_of_titles() -> None:
    text = "title: Up\u202e and\u2066 down\u200f\nkey: F\n[A]\n| F |\n"
    assert parse_chart(text).title == "Up and down"


@pytest.mark.parametrize("name", ["A2", "y2", "12", "x", "xA", "x2a"])
def test_only_x_with_a_number_is_no_name_of_a_section(name: str) -> None:
    assert parse_chart(f"form: {name}\n[{name}]\n| F |\n").form == (name,)
    with pytest.raises(ChartError, match="x2 in a form means 2 times"):
        parse_chart("[x2]\n| F |\n")

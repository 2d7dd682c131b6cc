"""The chat at a pretended terminal: what is typed, what comes out, what the casebook then holds.

Reading is pretended too (fixed words, fixed scenes); tables, rules and casebook are the real ones.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, cast

import pytest
from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Entry
from assistant.chat import chat
from assistant.loaded import Loaded
from rules.consult import consultant
from rules.model import Check, Consultation, EarleafError, Fact, Scene, Status
from rules.tables import load as load_tables

ROOT = Path(__file__).resolve().parent.parent
NOW = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
ENTER, CTRL_C, CTRL_D, ALT_ENTER, UP = "\r", "\x03", "\x04", "\x1b\r", "\x1b[A"


def pasted(text: str) -> str:
    return f"\x1b[200~{text}\x1b[201~"


# ----------------------------------------------------------------------------- a reader of few words


def fact(attribute: str, value: Any, status: Status = Status.PRESENT) -> Fact:
    return Fact(attribute=attribute, value=value, status=status, text=str(value))


GRAY = (
    fact("growth_stage", "R3"),
    fact("lesion_form", "lesion"),
    fact("lesion_colour", "gray"),
    fact("lesion_shape", "rectangular"),
)
ORANGE = (fact("lesion_form", "pustule"), fact("lesion_colour", "orange"), fact("arrangement", "dense"))
SAID = {
    "gray at draw": Scene(field="Spring Draw", facts=GRAY, problems=((1, 2, 3),)),
    "tan at draw": Scene(
        field="Spring Draw", facts=(*GRAY[:2], fact("lesion_colour", "tan")), problems=((1, 2),)
    ),
    "orange at gantt": Scene(field="Gantt piece", facts=ORANGE, problems=((0, 1, 2),)),
    "gray somewhere": Scene(field=None, facts=GRAY, problems=((1, 2, 3),)),
    "susceptible": Scene(field=None, facts=(fact("hybrid_rating", "susceptible"),)),
    "gray at eighty": Scene(field="north eighty", facts=GRAY, problems=((1, 2, 3),)),
    "east": Scene(field="North Eighty East", facts=()),
    "west": Scene(field="North Eighty West", facts=()),
}


class FewWords:
    """Knows whole notes by heart; keeps which check each was read as an answer to."""

    def __init__(self, fault: BaseException | None = None) -> None:
        self.fault = fault
        self.asked: list[tuple[str, Check | None]] = []

    def read(
        self, text: str, *, on: date, fields: Sequence[str] = (), asked: Check | None = None
    ) -> tuple[Scene, ...]:
        if self.fault:
            raise self.fault
        self.asked.append((text, asked))
        return (SAID.get(text, Scene(field=None, facts=())),)


def made(reader: FewWords) -> Loaded:
    return Loaded(tables=load_tables(), consultant=consultant(), reader=cast(Any, reader), knowledge="k1")


class Screen(DummyOutput):
    """Keeps what is written to it."""

    def __init__(self) -> None:
        self.written: list[str] = []

    def get_size(self) -> Size:
        """Wide enough for every sentence on one line."""
        return Size(rows=40, columns=1000)

    def write(self, data: str) -> None:
        self.written.append(data)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "notes" / "casebook.db"


def talk(
    path: Path, *keys: str, build: Callable[[], Loaded] = lambda: made(FewWords()), leave: str = "/quit\r"
) -> str:
    """Types the keys into a chat, leaves, and returns all that was written."""
    screen = Screen()
    with create_pipe_input() as pipe:
        pipe.send_text("".join(keys) + leave)
        chat(path, author="ann", input=pipe, output=screen, now=lambda: NOW, build=build)
    return "".join(screen.written)


def lines(*typed: str) -> str:
    return "".join(line + ENTER for line in typed)


def notes(path: Path) -> list[Entry]:
    with Casebook.open_readonly(path) as book:
        return list(book.entries_all("note"))


def answers(path: Path) -> list[dict[str, Any]]:
    """What was answered to each note that stands, the first field of each."""
    with Casebook.open_readonly(path) as book:
        kept = [book.answer(e.uid) for e in book.entries_all("note")]
    return [cast(dict[str, Any], k.answer)["entries"][0] for k in kept if k]


def attributes(entry: dict[str, Any]) -> set[str]:
    return {f["attribute"] for f in entry["facts"]}


# ----------------------------------------------------------------------------- a note


def test_a_note_is_kept_and_answered(path: Path) -> None:
    shown = talk(path, lines("gray at draw"))
    (note,) = notes(path)
    assert (note.text, note.author, note.about, note.made_at) == ("gray at draw", "ann", NOW.date(), NOW)
    assert answers(path)[0]["problems"][0]["differential"][0]["disorder"] == "gray_leaf_spot"
    assert "Spring Draw | Wed Jul 28" in shown
    assert "gray leaf spot" in shown


def test_an_empty_line_is_nothing(path: Path) -> None:
    talk(path, lines("", "   "))
    assert not path.exists()


def test_a_line_that_names_no_field_belongs_to_the_open_one(path: Path) -> None:
    talk(path, lines("gray at draw", "susceptible"))
    first, second = answers(path)
    assert second["case"] == first["case"] == "spring-draw-2027"
    assert attributes(second) == attributes(first) | {"hybrid_rating"}
    assert second["problems"][0]["differential"][0]["disorder"] == "gray_leaf_spot"


def test_a_line_that_names_another_field_closes_the_case(path: Path) -> None:
    reader = FewWords()
    talk(path, lines("gray at draw", "orange at gantt", "susceptible"), build=lambda: made(reader))
    draw, gantt, last = answers(path)
    assert (draw["field"], gantt["field"], last["field"]) == ("Spring Draw", "Gantt piece", "Gantt piece")
    assert attributes(gantt) == {f.attribute for f in ORANGE}
    assert attributes(last) == attributes(gantt) | {"hybrid_rating"}
    # the check of Spring Draw gives no meaning to words about another field
    assert [asked for text, asked in reader.asked if text == "orange at gantt"][-1] is None


class Listening:
    """The real consultant; keeps how many earlier notes it was told of each time."""

    def __init__(self) -> None:
        self.earlier: list[int] = []

    def consult(self, *args: Any, **more: Any) -> Consultation:
        self.earlier.append(len(more["earlier"]))
        return consultant().consult(*args, **more)


def test_words_in_a_chain_of_answers_count_once(path: Path) -> None:
    """What is joined already is not also an earlier note, however long the chain of answers."""
    listening = Listening()
    loaded = replace(made(FewWords()), consultant=cast(Any, listening))
    typed = lines(
        "gray at draw", "susceptible", "susceptible", "susceptible", "orange at gantt", "/date 2027-07-30"
    )
    talk(path, typed, lines("gray at draw"), build=lambda: loaded)
    # the last note begins anew on another day: the four of the chain are earlier notes to it
    assert listening.earlier == [0, 0, 0, 0, 0, 4]


def test_the_same_field_named_on_another_day_begins_anew(path: Path) -> None:
    talk(path, lines("gray at draw", "/date 2027-07-30", "tan at draw"))
    assert not any(f.get("earlier") for f in answers(path)[1]["facts"])
    assert [n.about.day for n in notes(path)] == [28, 30]


def test_a_bare_answer_on_another_day_goes_on(path: Path) -> None:
    talk(path, lines("gray at draw", "/date 2027-07-30", "susceptible"))
    first, bare = answers(path)
    assert attributes(bare) == attributes(first) | {"hybrid_rating"}


def test_a_bare_line_in_another_season_is_of_the_field_alone(path: Path) -> None:
    talk(path, lines("gray at draw", "/date 2028-07-30", "susceptible"))
    last = answers(path)[1]
    assert (last["case"], attributes(last)) == ("spring-draw-2028", {"hybrid_rating"})


# ----------------------------------------------------------------------------- nothing is lost


def broken() -> Loaded:
    raise EarleafError("The table of checks is broken.")


def test_without_the_heavy_parts_the_note_is_kept_and_answered_next_time(path: Path) -> None:
    shown = talk(path, lines("gray at draw"), build=broken)
    assert "The note is in the casebook, word for word" in shown
    assert "The table of checks is broken." in shown
    assert [n.text for n in notes(path)] == ["gray at draw"]
    assert answers(path) == []

    again = talk(path, lines("/due"))
    assert answers(path)[0]["field"] == "Spring Draw"
    assert "Spring Draw" in again
    assert "What it is" not in again


def test_a_fault_of_the_program_loses_no_note(path: Path) -> None:
    shown = talk(path, lines("gray at draw", "/why"), build=lambda: made(FewWords(KeyError("wedge"))))
    assert "has no answer yet: a fault of the program itself (KeyError: 'wedge'" in shown
    assert "raise self.fault" in shown
    talk(path, lines("susceptible"))
    assert [a["field"] for a in answers(path)] == ["Spring Draw", None]


def test_a_note_that_fails_again_is_named(path: Path) -> None:
    talk(path, lines("gray at draw"), build=broken)
    shown = talk(path, lines("/due"), build=lambda: made(FewWords(EarleafError("Too long."))))
    assert 'An earlier note has no answer yet, "gray at draw": Too long.' in shown


def test_an_interrupted_note_is_kept(path: Path) -> None:
    shown = talk(path, lines("gray at draw"), build=lambda: made(FewWords(KeyboardInterrupt())))
    assert "has no answer yet: it was interrupted." in shown
    assert len(notes(path)) == 1


def test_where_the_casebook_cannot_be_written_the_words_come_back(path: Path) -> None:
    path.parent.mkdir()
    path.write_text("no casebook at all, but a file that is long enough to be looked at")
    shown = talk(path, lines("gray at draw"), CTRL_C)
    assert "The note is not in the casebook" in shown
    assert "is not a casebook" in shown
    assert path.read_text().startswith("no casebook")
    assert path.with_name("casebook.db.history").read_text().count("+gray at draw") == 2


def test_ctrl_c_puts_the_line_aside(path: Path) -> None:
    shown = talk(path, "gray at draw", CTRL_C)
    assert "Put aside; arrow up brings it back." in shown
    assert not path.exists()
    talk(path, UP, UP, ENTER)
    assert [n.text for n in notes(path)] == ["gray at draw"]


def test_ctrl_d_leaves_and_the_line_comes_back(path: Path) -> None:
    talk(path, "gray at", leave=CTRL_D)
    assert not path.exists()
    talk(path, " draw", ENTER)
    assert [n.text for n in notes(path)] == ["gray at draw"]
    talk(path, lines("susceptible"))
    assert [n.text for n in notes(path)] == ["gray at draw", "susceptible"]


def test_history_outlives_the_chat(path: Path) -> None:
    talk(path, lines("gray at draw"))
    talk(path, UP, UP, ENTER)  # /quit is the last line of the first chat
    assert [n.text for n in notes(path)] == ["gray at draw", "gray at draw"]


# ----------------------------------------------------------------------------- keys


def test_a_paste_of_many_lines_is_one_note(path: Path) -> None:
    talk(path, pasted("first line\nsecond line\r\nthird"), ENTER)
    assert [n.text for n in notes(path)] == ["first line\nsecond line\nthird"]


@pytest.mark.parametrize("new_line", [ALT_ENTER, "\\" + ENTER])
def test_a_new_line_within_a_note(path: Path, new_line: str) -> None:
    talk(path, "first", new_line, "second", ENTER)
    assert [n.text for n in notes(path)] == ["first\nsecond"]


def test_no_control_character_reaches_the_terminal(path: Path) -> None:
    evil = "orange \x1b]0;owned\x07 \x9b2J leaf"
    SAID[evil] = replace(SAID["gray at draw"], field="Draw \x1b[2J\u202e")
    try:
        shown = talk(path, pasted(evil), ENTER, lines("/why", "/history", "/due", "/export", "/undo"))
    finally:
        del SAID[evil]
    assert {c for c in shown if not c.isprintable()} <= {"\n", "\r"}
    with Casebook.open_readonly(path) as book:
        assert evil in [e.body.get("text") for e in book.journal()]


# ----------------------------------------------------------------------------- which field


def test_a_doubtful_field_is_asked_about(path: Path) -> None:
    shown = talk(path, lines("east", "west", "gray at eighty", "9", "2"))
    assert '"north eighty" could be a field that is known' in shown
    assert "Say a number from 1 to 2, or new." in shown
    assert answers(path)[-1]["field"] == "North Eighty West"


def test_what_was_chosen_is_not_asked_again(path: Path) -> None:
    SAID["tan at eighty"] = replace(SAID["tan at draw"], field="north eighty")
    try:
        shown = talk(path, lines("east", "west", "gray at eighty", "2", "/correct tan at eighty"))
    finally:
        del SAID["tan at eighty"]
    assert shown.count("could be a field that is known") == 1
    assert answers(path)[-1]["field"] == "North Eighty West"
    assert notes(path)[-1].text == "tan at eighty"


def test_undo_takes_back_the_choice_and_the_note(path: Path) -> None:
    shown = talk(path, lines("east", "west", "gray at eighty", "1", "/undo"))
    assert 'Taken back: the note of 2027-07-28, "gray at eighty".' in shown
    assert [n.text for n in notes(path)] == ["east", "west"]


def test_a_doubtful_field_may_be_a_new_one(path: Path) -> None:
    talk(path, lines("east", "west", "gray at eighty", "new"))
    assert answers(path)[-1]["field"] == "north eighty"


def test_a_choice_that_is_not_made_files_nothing_and_keeps_the_words(path: Path) -> None:
    talk(path, lines("east", "west", "gray at eighty"), CTRL_C, CTRL_D, leave="")
    assert [n.text for n in notes(path)] == ["east", "west"]
    assert path.with_name("casebook.db.draft").read_text() == "gray at eighty"


def test_field_files_the_note_that_named_none(path: Path) -> None:
    talk(path, lines("gray somewhere", "/field Larkin north", "susceptible"))
    first, second = answers(path)
    assert (first["field"], second["field"]) == ("Larkin north", "Larkin north")
    assert attributes(second) == attributes(first) | {"hybrid_rating"}


def test_field_turns_to_another_field(path: Path) -> None:
    talk(path, lines("gray at draw", "/field Larkin north", "susceptible"))
    assert answers(path)[-1]["field"] == "Larkin north"
    assert attributes(answers(path)[-1]) == {"hybrid_rating"}


# ----------------------------------------------------------------------------- putting right


def test_a_correction_stands_in_place_of_the_words(path: Path) -> None:
    shown = talk(path, lines("gray at draw", "/correct tan at draw"))
    (note,) = notes(path)
    assert (note.text, cast(dict[str, object], note.first_body)["text"]) == ("tan at draw", "gray at draw")
    assert {f["value"] for f in answers(path)[0]["facts"]} == {"R3", "lesion", "tan"}
    assert shown.count("Spring Draw | Wed Jul 28") == 2


def test_a_corrected_answer_joins_what_it_answered(path: Path) -> None:
    talk(path, lines("gray at draw", "no such words", "/correct susceptible"))
    assert attributes(answers(path)[1]) == attributes(answers(path)[0]) | {"hybrid_rating"}


def test_a_correction_in_a_later_chat_joins_it_too(path: Path) -> None:
    talk(path, lines("gray at draw", "no such words"))
    talk(path, lines("/correct susceptible"))
    assert attributes(answers(path)[1]) == attributes(answers(path)[0]) | {"hybrid_rating"}


def test_correct_alone_brings_the_words_back(path: Path) -> None:
    talk(path, lines("gray at dra", "/correct"), "w", ENTER)
    assert [n.text for n in notes(path)] == ["gray at draw"]


def test_undo_goes_back_one_by_one(path: Path) -> None:
    shown = talk(path, lines("gray at draw", "/correct tan at draw", "/undo", "/undo", "/undo"))
    assert 'Taken back: the correction "tan at draw".' in shown
    assert 'Taken back: the note of 2027-07-28, "gray at draw".' in shown
    assert "nothing of yours in the casebook to take back" in shown
    with Casebook.open_readonly(path) as book:
        assert book.fields() == ()


def test_after_undo_the_case_before_is_open_again(path: Path) -> None:
    talk(path, lines("gray at draw", "orange at gantt", "/undo", "susceptible"))
    assert [a["field"] for a in answers(path)] == ["Spring Draw", "Spring Draw"]


# ----------------------------------------------------------------------------- asking


def test_an_unknown_command_names_those_that_there_are(path: Path) -> None:
    shown = talk(path, lines("/histry"))
    assert "Did you mean /history?" in shown
    for name in ("/why", "/due", "/quit"):
        assert name in shown
    assert not path.exists()


def test_before_any_answer_there_is_nothing_to_explain(path: Path) -> None:
    assert (
        talk(path, lines("/why", "/change", "/mind")).count("Nothing has been answered in this chat yet") == 3
    )


def test_why_goes_down_to_words_and_sources(path: Path) -> None:
    shown = talk(path, lines("gray at draw", "/why"))
    assert '"rectangular" -> shape: rectangular' in shown
    assert "University of Tennessee" in shown


def test_history_is_of_the_open_field_unless_one_is_named(path: Path) -> None:
    shown = talk(
        path, lines("gray at draw", "orange at gantt", "/history", "/history spring draw", "/history Nowhere")
    )
    assert '"orange at gantt"' in shown
    assert '"gray at draw"' in shown
    assert 'No field is called "Nowhere".' in shown


def test_due_of_a_day_that_is_none(path: Path) -> None:
    assert '"tomorrow" is no date; say it as YYYY-MM-DD' in talk(path, lines("/due tomorrow"))


def test_export_writes_a_new_file_and_leaves_one_that_is_there(path: Path, tmp_path: Path) -> None:
    file = tmp_path / "season.csv"
    shown = talk(path, lines("gray at draw", f"/export csv {file}", f"/export {file}", f"/export {path}"))
    assert file.read_text().startswith('"date","field",')
    assert "gray at draw" in file.read_text()
    assert shown.count("and it is left as it is; name") == 2
    assert [n.text for n in notes(path)] == ["gray at draw"]


def test_export_in_a_form_that_is_no_text_needs_a_file(path: Path, tmp_path: Path) -> None:
    shown = talk(
        path, lines("gray at draw", "/export xlsx", f"/export {tmp_path / 'season.xlsx'}", "/export")
    )
    assert "name a file: /export xlsx FILE" in shown
    assert (tmp_path / "season.xlsx").read_bytes().startswith(b"PK")
    assert "# Season 2027" in shown


def test_help_lists_every_command_and_the_guide_is_there(path: Path) -> None:
    shown = talk(path, lines("/help", "/help guide"))
    assert "/export [FORM] [FILE]" in shown
    assert "label" in shown


def test_a_note_in_the_terminal_without_a_terminal_is_refused(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class NoTerminal:
        def isatty(self) -> bool:
            return False

    monkeypatch.setattr("sys.stdin", NoTerminal())
    with pytest.raises(EarleafError, match="needs a terminal"):
        chat(path, author="ann", now=lambda: NOW)


def test_the_prompt_waits_for_nothing_heavy() -> None:
    """What is imported before the prompt shows; the rest comes behind it."""
    heavy = {"spacy", "sqlite_utils", "pydantic", "durable", "dateparser", "jinja2"}
    told = "import sys, assistant.chat, assistant.cli, assistant.casebook.place; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True, cwd=ROOT)
    assert not heavy & set(done.stdout.split())

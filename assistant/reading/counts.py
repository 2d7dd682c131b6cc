"""Counts of plants ("7 of 20 plants") and of marks a leaf."""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.numbers import Number
from assistant.reading.shares import as_percent
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrase_meanings, phrases, table, words

#: What is counted as a plant.
PLANTS = words("units", "count", "plants")
_EARS = words("units", "count", "ears")
_OF = phrases("units", "count", "of")
_RATE = words("units", "count", "rate")
_NOT_PLANTS = words("units", "count", "not_plants")
_LOOKED = phrases("units", "count", "looked")
_LOOKED_AFTER = phrases("units", "count", "looked_after")
_LOOKED_SKIPPED = frozenset(
    {"at", "about", "around", "over", "the", "some", "another", "hard", "good", "on", "maybe"}
)
_NONE = frozenset({"no", "none", "nothing", "not", "clean", "n't"})
_OF_THEM = frozenset({"of", "them", "those", "'em", "em"})
#: "20 ck": so many were checked.
_SHORT = frozenset({"ck", "ckd", "chk", "chkd"})
_HAD = words("units", "count", "had")
_ON = words("units", "count", "on")
_SAYS_COST = phrases("units", "money", "says_cost")
_EACH = phrases("units", "per", "each")
_PER_LEAF = phrases("units", "per", "leaf")
_PER_PLANT = phrases("units", "per", "plant")
_MARKS = phrase_meanings("units", "mark")
_SMALLEST_SAMPLE: int = table("units")["heard"]["smallest_sample"]
#: What stands for the words of a field's name.
MASK = "_"
_MONTHS, _DAYS = 12, 31
#: How many words apart two halves of a count may stand.
REACH = 8


def lesions_each(sheet: Sheet) -> list[Found]:
    """Reads "4 lesions per leaf", "two spots a plant", "6 pustules on the ear leaf"."""
    found: list[Found] = []
    for number in sheet.numbers:
        if number.tail or number.fraction or number.decade:
            continue
        at, form = _mark(sheet, number.last)
        plain = form or sheet.word(number.last) in ("per", "/") or _marks_told(sheet, number)
        each = sheet.phrase(at, _EACH) if plain else 0
        step = at + each
        leaf, plant = sheet.phrase(step, _PER_LEAF), sheet.phrase(step, _PER_PLANT)
        if not each or not (leaf or plant):
            continue
        on_ear = leaf and "ear" in sheet.words[step : step + leaf]
        last = at if on_ear else step + (leaf or plant)
        count = said(sheet, "lesions_per_leaf" if leaf else "lesions_per_plant", number.alone(), last)
        found.append(count)
        if form:
            found.append(replace(count, attribute="lesion_form", value=form, approx=False))
    return found


def _marks_told(sheet: Sheet, number: Number) -> bool:
    """As in "cigars, gray, two to a plant": what is counted was named before in the sentence."""
    behind = sheet.words[number.last : number.last + 2]
    if behind not in (("to", "a"), ("to", "the"), ("on", "a")):
        return False
    before = (at for at in sheet.sentence_range(number.core) if at < number.first)
    return any(sheet.words[at] in _MARKS for at in before)


def plants(sheet: Sheet) -> list[Found]:
    """Plants looked at and plants affected, with the incidence that the two give."""
    found: list[Found] = []
    for rule in (_plain_counts, _checked_then_had, _lone_counts):
        found += rule(sheet)
        sheet = sheet.without(found)
    return found


# ------------------------------------------------------------------- x of y


def counted_of(sheet: Sheet, number: Number) -> tuple[Number, Number, int, str] | None:
    """Reads "7 of 20", "three plants out of twenty five": both numbers, the token after, the joiner."""
    if number.slashed:
        return _slashed(sheet, number)
    affected = number.alone()
    if affected.tail or affected.fraction or affected.decade or not _whole(affected):
        return None
    at = sheet.skip(number.last, PLANTS | _EARS, 1)
    size = sheet.phrase(at, _OF)
    checked = sheet.number_at(at + size) if size else None
    if checked is None:
        return None
    last = checked.last
    if checked.pair:
        value = float(checked.pair[0])
        checked = replace(checked, low=value, high=value, pair=None, last=checked.pair_at)
        last = checked.last
    if checked.tail or checked.fraction or checked.decade or checked.is_range or not _whole(checked):
        return None
    return affected, checked, last, " ".join(sheet.words[at : at + size])


def _slashed(sheet: Sheet, number: Number) -> tuple[Number, Number, int, str] | None:
    """Reads "2/10 plts": a slash is a count beside a plant, or where it can be no date ("0/60")."""
    figures = sheet.words[number.core].lstrip("~<>≈").split("/")[:2]
    if len(figures) < 2 or not all(figure.isdigit() for figure in figures):
        return None
    over, under = (float(figure) for figure in figures)
    no_date = under >= _SMALLEST_SAMPLE and over != under and (over == 0 or over > _MONTHS or under > _DAYS)
    if sheet.word(number.last) not in PLANTS | _EARS and not (no_date and not sheet.has_unit(number.last)):
        return None
    checked = replace(number, low=under, high=under, fraction=False, slashed=False)
    return replace(checked, low=over, high=over), checked, number.last, "of"


def _plain_counts(sheet: Sheet) -> list[Found]:
    found: list[Found] = []
    for number in sheet.numbers:
        pair = counted_of(sheet, number)
        if pair is None:
            continue
        affected, checked, last, joiner = pair
        noun = sheet.skip(last, frozenset({"of", "the", "-"}), 2)
        on_plants = sheet.word(noun) in PLANTS or sheet.word(affected.last) in PLANTS
        on_ears = sheet.word(noun) in _EARS and sheet.word(noun + 1) not in ("leaf", "leaves")
        if not plausible(affected, checked) or (sheet.word(last) in _NOT_PLANTS and not on_plants):
            continue
        if sheet.word(affected.last) in _NOT_PLANTS or sheet.word(affected.first - 1) in ("$", "rated"):
            continue
        if not (on_plants or on_ears) and joiner in ("for", "per", "from"):
            continue
        last = noun + 1 if on_plants and noun >= last and sheet.word(noun) in PLANTS else last
        last = noun + 1 if on_ears else last
        found += _count_facts(sheet, affected, checked, last, joiner, ears=on_ears)
    return found


def plausible(affected: Number, checked: Number) -> bool:
    """Whether so many of so many can be a count of plants (a handful is none)."""
    return affected.high <= checked.low and checked.low >= _SMALLEST_SAMPLE


def _whole(number: Number) -> bool:
    return number.low == int(number.low) and number.high == int(number.high)


def _count_facts(
    sheet: Sheet, affected: Number, checked: Number, last: int, joiner: str, *, ears: bool = False
) -> list[Found]:
    """The two counts and their incidence; a rate ("one in ten") is an incidence alone.

    An ear stands for its plant: such counts are marked as derived.
    """
    first = min(affected.first, checked.first)
    last = max(last, affected.last)
    words_of = replace(affected, first=first)
    rate = affected.high == 1 and joiner in _RATE and not ears
    if MASK in sheet.words[first:last]:  # a field is named between the two
        words_of, last = affected, affected.last
        checked_first, checked_last = checked.first, checked.last
    else:
        checked_first, checked_last = first, last
    share = replace(
        words_of, low=share_of(affected.low, checked.low), high=share_of(affected.high, checked.low)
    )
    incidence = said(sheet, "incidence_pct", share, last, unit="%", derived=not rate)
    if rate:
        return [incidence]
    return [
        said(sheet, "plants_affected", words_of, last, derived=ears),
        said(sheet, "plants_checked", replace(checked, first=checked_first), checked_last, derived=ears),
        incidence,
    ]


def share_of(affected: float, checked: float) -> float:
    """The percentage that a count makes, to a tenth."""
    percent = as_percent(affected / checked)
    return percent if percent == affected / checked * 100 else round(affected / checked * 100, 1)


# ------------------------------------------------------------------- apart


def _checked_then_had(sheet: Sheet) -> list[Found]:
    """Reads "Checked 20 plants, 7 had it", "20 plants checked, 3 with lesions", "out of 20, 7 had it"."""
    rows = [
        (abs(other.first - number.first), number, other)
        for number in sheet.numbers
        if _is_sample(sheet, number)
        for other in sheet.numbers
        if other is not number and _had(sheet, other) and _pairs(sheet, number, other)
    ]
    found: list[Found] = []
    used: set[int] = set()
    for _, checked, affected in sorted(rows, key=lambda row: row[0]):
        if used.isdisjoint((checked.first, affected.first)):
            used |= {checked.first, affected.first}
            found += _count_facts(sheet, affected, checked, max(affected.last, checked.last), "of")
    return found


def _pairs(sheet: Sheet, checked: Number, affected: Number) -> bool:
    near = abs(affected.first - checked.last) <= REACH or abs(checked.first - affected.last) <= REACH
    same = sheet.sentences[checked.core] == sheet.sentences[affected.core]
    # "Checked 30 at Hill Forty. Six with gray leaf spot": the next sentence begins with the count.
    following = checked.last < affected.first and sheet.words[affected.first - 1] == "."
    return near and (same or following) and plausible(affected, checked)


def _is_sample(sheet: Sheet, number: Number) -> bool:
    """Whether a number counts the plants that were looked at."""
    if (
        number.tail
        or number.fraction
        or number.decade
        or number.is_range
        or number.pair
        or not _whole(number)
    ):
        return False
    noun = sheet.word(number.last) in PLANTS
    before = _ends_before(sheet, number.first)
    after = sheet.phrase(number.last + noun, _LOOKED_AFTER)
    if sheet.word(number.last) in _NOT_PLANTS:
        return False
    out_of = sheet.words[max(0, number.first - 2) : number.first] == ("out", "of")
    short = sheet.word(number.last) in _SHORT
    return bool(before or (after and noun) or out_of or short or (noun and _some_of_them(sheet, number)))


def _some_of_them(sheet: Sheet, number: Number) -> bool:
    """As in "on twenty plants in the bottom, and four of them had it"."""
    near = (other for other in sheet.numbers if 0 < other.first - number.last <= REACH)
    return any(sheet.words[n.last : n.last + 2] in (("of", "them"), ("of", "those")) for n in near)


def _ends_before(sheet: Sheet, at: int) -> bool:
    """Whether a verb of looking stands right before ``at`` ("looked at", "checked about")."""
    step = sheet.skip_back(at - 1, _LOOKED_SKIPPED, 3)
    return sheet.phrase(step, _LOOKED) == 1 or sheet.phrase(step - 1, _LOOKED) == 2


def _had(sheet: Sheet, number: Number) -> bool:
    if number.tail or number.fraction or number.decade or number.pair or not _whole(number):
        return False
    at = number.last + (sheet.word(number.last) in PLANTS)
    at = sheet.skip(at, frozenset({"of", "them", "that"}), 2)
    if sheet.word(number.last) in _NOT_PLANTS:
        return False
    if sheet.phrase(number.last, _SAYS_COST):
        return False
    found_on = sheet.word(number.first - 1) in ("on", "in") and not sheet.word(at)[:1].isalnum()
    return sheet.word(at) in _HAD or found_on


def _lone_counts(sheet: Sheet) -> list[Found]:
    """Reads "Checked fifty plants"; "on three plants"."""
    found: list[Found] = []
    for number in sheet.numbers:
        alone = number.alone()
        if alone.tail or alone.fraction or alone.decade or not _whole(alone):
            continue
        last = alone.last
        if sheet.word(last) in PLANTS and sheet.word(last + 1) not in ("/", "an", "per", "a", "apart"):
            if _is_sample(sheet, number) or _found_none(sheet, number):
                found.append(said(sheet, "plants_checked", number, last + 1))
            elif sheet.word(alone.first - 1) in _ON or _told_of(sheet, alone, last + 1):
                found.append(said(sheet, "plants_affected", alone, last + 1))
    return found


def _found_none(sheet: Sheet, number: Number) -> bool:
    """As in "no lesions on thirty plants": they were looked at."""
    on = sheet.word(number.first - 1) in ("on", "in")
    return on and bool(_NONE.intersection(sheet.near(number.core, number.first - 5, number.first)))


def _told_of(sheet: Sheet, number: Number, after: int) -> bool:
    """As in "six plants that had wilted"; "Five plants, scattered": they have what is told of."""
    opens = number.first == sheet.clause_range(number.core).start and number.first > 0
    alone = opens and (sheet.word(after) in (",", ".") or after >= len(sheet.words))
    return (sheet.word(after) in ("that", "with") and sheet.word(after + 1) in (*_HAD, "a", "it")) or alone


def _mark(sheet: Sheet, at: int) -> tuple[int, str]:
    """The token after a mark noun close behind ``at``, and the form that it names."""
    for step in range(at, min(at + 3, len(sheet.words))):
        rows = _MARKS.get(sheet.words[step])
        if rows:
            return step + 1, rows[0][1]
        if not sheet.words[step].isalpha() or sheet.number_at(step) or sheet.has_unit(step):
            break
    return at, ""

"""Prices and costs: "three ninety corn", "nine an acre to fly it"."""

from __future__ import annotations

from dataclasses import replace

from assistant.reading.numbers import Number
from assistant.reading.sheet import Sheet, said
from assistant.reading.tokens import Found
from assistant.reading.wordlists import phrases, table, words

_WORDS = {
    name: words("units", "money", name) for name in ("dollars", "cents", "price", "price_skipped", "corn")
}
_PER_BUSHEL = phrases("units", "money", "bushel")
_PER_ACRE = phrases("units", "money", "acre")
_TOTAL = phrases("units", "money", "total")
_APPLICATION = phrases("units", "money", "application")
_PRODUCT = phrases("units", "money", "product")
_SAYS_COST = phrases("units", "money", "says_cost")
_COST_SKIPPED = words("units", "money", "cost_skipped")
_NAMED_COSTS = ((_APPLICATION, "application_cost_usd_ac"), (_PRODUCT, "product_cost_usd_ac"))
_NOW = frozenset({"to", "use", "now", "at"})
_MOVED = frozenset(
    {"dropped", "fell", "went", "rose", "climbed", "slid", "use", "now", "down", "up", "jumped"}
)
_MOST_PER_ACRE: int = table("units")["heard"]["most_usd_per_acre"]


def prices(sheet: Sheet) -> list[Found]:
    """The price of corn in dollars a bushel."""
    found: list[Found] = []
    for number in sheet.numbers:
        one = _price(sheet, number)
        moved = _moved_price(sheet, number, found)
        if moved:
            found.pop()
        if one := one or moved:
            found.append(one)
            sheet = sheet.without([one])
    return found


def _moved_price(sheet: Sheet, number: Number, found: list[Found]) -> Found | None:
    """The price that takes the place of one before: "it dropped to three ninety five"."""
    money, before = _as_money(number), sheet.near(number.core, number.first - 3, number.first)
    low, high = sheet.bounds.get("corn_price_usd_bu", (0, 0))
    if not found or money is None or not (number.pair or money.low != int(money.low)) or number.fraction:
        return None
    same = sheet.sentences[found[-1].first] == sheet.sentences[number.first]
    likely = low <= money.low <= money.high <= high
    if not (same and likely and before[-1:] and before[-1] in _NOW and _MOVED.intersection(before)):
        return None
    return said(sheet, "corn_price_usd_bu", money, number.last, unit="USD/bu")


def costs(sheet: Sheet) -> list[Found]:
    """Dollars an acre: of the product, of putting it on, or of both."""
    found: list[Found] = []
    for number in sheet.numbers:
        if one := _cost(sheet, number):
            found.append(one)
    return found


# ------------------------------------------------------------------- price


def _price(sheet: Sheet, number: Number) -> Found | None:
    dollars, last = _dollars(sheet, number)
    money = dollars or _as_money(number)
    first = number.first - (sheet.word(number.first - 1) == "$")
    signed = first < number.first or dollars is not None
    if money is None or (sheet.phrase(last, _PER_ACRE) and not _corn(sheet, last)):
        return None
    bushel = sheet.phrase(last, _PER_BUSHEL)
    if bushel:
        return said(sheet, "corn_price_usd_bu", money, last + bushel, first=first, unit="USD/bu")
    if number.tail or number.fraction or number.decade:
        return None
    cue = _price_cue(sheet, number, last, signed=signed)
    if cue is None and not (signed and _looks_like_price(sheet, money, last)):
        return None
    last += _corn(sheet, last) and sheet.word(last + 1) not in ("on", "after")
    first = first if cue is None else min(cue, first)
    return said(sheet, "corn_price_usd_bu", money, last, first=first, unit="USD/bu")


def _dollars(sheet: Sheet, number: Number) -> tuple[Number | None, int]:
    """Dollars with their cents: "four dollars and ten cents", "four dollars"."""
    at = number.last + (sheet.word(number.last) == "-")
    if sheet.word(at) not in _WORDS["dollars"]:
        return None, number.last
    dollars, last = number.alone(), at + 1
    rest = sheet.number_at(last + (sheet.word(last) == "and"))
    cents = _cents(sheet, rest, last) if rest else 0
    if rest and cents:
        last = rest.last + (sheet.word(rest.last) in _WORDS["cents"])
        dollars = replace(dollars, low=dollars.low + cents, high=dollars.high + cents)
    return dollars, last


def _cents(sheet: Sheet, rest: Number, dollars_end: int) -> float:
    """What a number behind "dollars" adds to them: it says "cents", or it stands right there."""
    said_cents = sheet.word(rest.last) in _WORDS["cents"]
    beside = rest.first == dollars_end and 10 <= rest.low < 100
    return rest.low / 100 if (said_cents or beside) and not rest.tail else 0


def _as_money(number: Number) -> Number | None:
    """A pair read as dollars and cents ("four ten" is 4.10); other figures as they are."""
    if not number.pair:
        return number
    value = number.pair[0] + number.pair[1] / 100
    return replace(number, low=value, high=value, pair=None)


def _corn(sheet: Sheet, last: int) -> bool:
    return sheet.word(last) in _WORDS["corn"]


def _price_cue(sheet: Sheet, number: Number, last: int, *, signed: bool) -> int | None:
    """The first token of what makes a figure a price: itself before "corn", or a word for price."""
    cents = number.low != int(number.low) or number.pair is not None
    low, high = sheet.bounds.get("corn_price_usd_bu", (0, 0))
    money = _as_money(number)
    likely = money is not None and low <= money.low and money.high <= high
    if _corn(sheet, last) and (signed or (cents and likely)):
        return number.first
    start = number.first - 1 - (sheet.word(number.first - 1) == "$")
    start -= (
        sheet.word(start) == "," and sheet.word(start - 1) in _WORDS["price"]
    )  # "good price, four twenty two"
    at = sheet.skip_back(start, _WORDS["price_skipped"], 5)
    cue = at if sheet.word(at) in _WORDS["price"] else at + 1
    same = at >= -1 and cue < number.first and sheet.sentences[max(cue, 0)] == sheet.sentences[number.first]
    if not same or cue in sheet.taken or sheet.word(cue) not in _WORDS["price"]:
        return None
    plain = cue == number.first - 1 and sheet.word(cue) in _WORDS["corn"]
    named = likely and (cents or signed or (not plain and _stands_alone(sheet, last)))
    return cue if named else None


def _stands_alone(sheet: Sheet, last: int) -> bool:
    """Whether no unit follows the figure."""
    after = sheet.word(last)
    return (
        not after
        or not (after.isalpha() or after in ('"', "%", "°", "-", "/"))
        or after in ("and", "now", "so", "today")
    )


def _looks_like_price(sheet: Sheet, money: Number, last: int) -> bool:
    """A dollar figure with cents and no other noun beside it ("200bu, $4.05, R3")."""
    low, high = sheet.bounds.get("corn_price_usd_bu", (0, 0))
    cents = money.low != int(money.low)
    return cents and low <= money.low and money.high <= high and not sheet.phrase(last, _SAYS_COST)


# ------------------------------------------------------------------- cost


def _cost(sheet: Sheet, number: Number) -> Found | None:
    if number.fraction or number.decade or number.tail:
        return None
    dollars, last = _dollars(sheet, number)
    signed = dollars is not None or sheet.word(number.first - 1) == "$"
    acre = sheet.phrase(last, _PER_ACRE)
    clause = sheet.clause_range(number.core)
    named = _beside(sheet, number) if _bare_cost(sheet, number, last) else ""
    if (
        not named
        and not acre
        and not sheet.phrase(last, _SAYS_COST)
        and not (signed and _cost_words(sheet, clause))
    ):
        return None
    money = dollars or _cost_value(number)
    if not signed and money.high >= _MOST_PER_ACRE:
        return None
    first = number.first - (sheet.word(number.first - 1) == "$")
    return said(sheet, _cost_of(sheet, number, last, acre), money, last + acre, first=first, unit="USD/ac")


def _bare_cost(sheet: Sheet, number: Number, last: int) -> bool:
    """Whether a figure without a unit can be dollars an acre ("the plane is twelve")."""
    low, high = sheet.bounds.get("application_cost_usd_ac", (0, 0))
    after = sheet.word(last)
    plain = not sheet.has_unit(last) and after not in ("of", "out", "in", "on", "over", "way", "%", "/")
    money = _cost_value(number)
    return plain and 2 * low < money.low <= money.high <= high and not number.is_range


def _cost_value(number: Number) -> Number:
    """Reads "Thirty two fifty an acre" is 32.50; a smaller pair is two figures."""
    if number.pair and number.pair[0] >= 5:
        return _as_money(number) or number
    return number.alone()


def _cost_words(sheet: Sheet, at: range) -> bool:
    return any(sheet.phrase(step, known) for step in at for known in (_APPLICATION, _PRODUCT, _TOTAL))


def _cost_of(sheet: Sheet, number: Number, last: int, acre: int) -> str:
    """Which cost it is, from the words of its own part of the clause."""
    if beside := _beside(sheet, number):
        return beside
    span = _own_words(sheet, number, last + acre)
    total = any(sheet.phrase(at, _TOTAL) for at in span)
    application = any(sheet.phrase(at, _APPLICATION) for at in span)
    product = any(sheet.phrase(at, _PRODUCT) for at in span)
    if total or application == product:
        return "total_cost_usd_ac"
    return "application_cost_usd_ac" if application else "product_cost_usd_ac"


def _beside(sheet: Sheet, number: Number) -> str:
    """The cost whose name stands right before the figure: "plane is twelve", "chem 21/ac"."""
    first = number.first - (sheet.word(number.first - 1) == "$")
    end = sheet.skip_back(first - 1, _COST_SKIPPED, 4)
    for begin in range(max(0, end - 2), end + 1):
        for known, name in _NAMED_COSTS:
            size = sheet.phrase(begin, known)
            if size and begin + size == end + 1 and sheet.sentences[begin] == sheet.sentences[number.first]:
                return name
    return ""


def _own_words(sheet: Sheet, number: Number, last: int) -> list[int]:
    """The words of the clause nearer to this figure than to the next one across an "and" or "plus"."""
    clause = sheet.clause_range(number.core)
    low = max(
        (at + 1 for at in clause if at < number.first and sheet.words[at] in ("and", "plus", "+")),
        default=clause.start,
    )
    high = min(
        (at for at in clause if at >= last and sheet.words[at] in ("and", "plus", "+")), default=clause.stop
    )
    return [at for at in range(low, high) if not number.first <= at < number.last]

"""What words say twice, or say of another thing: the closer word stands, and what it implies is stated.

Applied behind :mod:`assistant.reading.sign_sense`.
"""

from __future__ import annotations

from assistant.reading.attributes import group
from assistant.reading.mention import Mention, Passage, sentences
from assistant.reading.near import drop_all, in_clause, in_sentence, named
from rules.model import Relation, Status

_FIELD_EDGES = frozenset({"edge", "fence"})
_LOOSE_SIZES = frozenset({"small", "large", "tiny"})
_NO_DATED_WEATHER = frozenset(
    {"temperature_f", "temperature_low_f", "temperature_high_f", "temperature_c", "humidity", "whorl_water"}
)
_REACHED = frozenset({"dented", "tasseled", "tasselled", "silked", "denting", "black layered", "pollinated"})
_ON_FINGER = ("my ", "finger", "thumb", "hand")
_SPANS = frozenset({"day", "days", "week", "weeks", "wk", "wks"})
_UNTIL = frozenset({"to", "from", "until", "till", "before", "off"})
_AFTER_RATING = frozenset({"for", "to", "on", "against", "hybrid", ",", ".", ";"})


def say_once(passage: Passage) -> None:
    """Apply every rule in turn."""
    for rule in _RULES:
        rule(passage)


def _specks_said_twice(passage: Passage) -> None:
    """The colour inside "black specks" is no colour of a lesion."""
    for specks in named(passage, "black_specks"):
        near = [m for m in passage.live if m.first >= specks.first and m.last <= specks.last]
        drop_all([m for m in near if m.attribute == "lesion_colour"], "the specks say it")


def _loose_sizes(passage: Passage) -> None:
    """As in "big gray cigars, four inches": the measure says it."""
    for mentions in sentences(passage):
        sizes = [m for m in mentions if m.attribute.startswith("lesion_") and m.attribute in group("seen")]
        exact = [
            m
            for m in sizes
            if m.attribute in ("lesion_size_in", "lesion_length_in", "lesion_size_mm", "lesion_width_in")
            or (m.attribute == "lesion_size_like" and m.value not in _LOOSE_SIZES)
        ]
        if exact:
            drop_all([m for m in sizes if m.value in _LOOSE_SIZES], "said more closely")


def _general_with_kind(passage: Passage) -> None:
    """As in "irrigated by sprinkler", "wind from the north": the closer word says it."""
    kinds = named(passage, "irrigation")
    if any(m.value != "yes" and m.stated for m in kinds):
        drop_all([m for m in kinds if m.value == "yes" and m.stated], "said more closely")
    if named(passage, "wind_dir", "wind_speed_mph"):
        drop_all([m for m in named(passage, "weather") if m.value in ("wind", "windy")], "said more closely")
    patterns = named(passage, "yellowing_pattern")
    if any(m.value != "general" and m.stated for m in patterns):
        drop_all([m for m in patterns if m.value == "general" and m.stated], "said more closely")
    crops = named(passage, "crop_type")
    if any(m.stated for m in crops):
        drop_all([m for m in crops if m.status is Status.ABSENT], "another crop is named")
    covers = named(passage, "cover_crop")
    if any(m.value != "yes" for m in covers):
        drop_all([m for m in covers if m.value == "yes"], "said more closely")


def _hairs_stick_up(passage: Passage) -> None:
    """As in "black hairs sticking up": the hairs, not the mark."""
    for mentions in sentences(passage):
        if any(m.attribute == "black_hairs" and m.stated for m in mentions):
            drop_all([m for m in mentions if m.attribute == "raised" and "stick" in m.form], "of the hairs")


def _fingers_without_colour(passage: Passage) -> None:
    """As in "my fingers are like rawhide": nothing came off that has no colour."""
    for rub in named(passage, "rubs_off"):
        led = rub.form.startswith(_ON_FINGER) and not rub.form.endswith(("off", "clean"))
        if led and not any(m.attribute.endswith("colour") for m in in_clause(passage, rub)):
            rub.drop("no colour on the finger")


def _silking_dated(passage: Passage) -> None:
    """As in "silked July eighth": the day of silking, not today's stage."""
    if named(passage, "silked_on"):
        drop_all([m for m in named(passage, "growth_stage") if m.form == "silked"], "its date says it")


def _dates_of_warmth(passage: Passage) -> None:
    """As in "58 last night": the day of a temperature is no date of an event."""
    for day in named(passage, "date"):
        near = {m.attribute for m in in_clause(passage, day)}
        if near & _NO_DATED_WEATHER and not near & ({"weather", "sprayed", "rain_in", "rain_mm"}):
            day.drop("a date of nothing that is dated")


def _rained(passage: Passage) -> None:
    """Where rain was measured, it rained; and the day of it is the day of rain."""
    for amount in named(passage, "rain_in", "rain_mm"):
        if not any(m.attribute == "weather" and m.value == "rain" for m in in_sentence(passage, amount)):
            rain = Mention(amount.first, amount.last, "weather", "rain", amount.status, amount.hedged)
            rain.when = amount.when
            passage.mentions.append(rain)
    for day in named(passage, "weather_on"):
        events = [m for m in in_clause(passage, day) if m.attribute == "weather"]
        if events and all(m.value == "rain" for m in events):
            day.attribute = "rain_on"


def _dusty_rust(passage: Passage) -> None:
    """A "dusty" road or day is no powder of rust."""
    rusty = any(m.value in ("pustule", "rust") or str(m.value).endswith("_rust") for m in passage.live)
    if not rusty:
        drop_all([m for m in named(passage, "rub") if m.form == "dusty"], "no rust is spoken of")


def _colour_came_off(passage: Passage) -> None:
    """As in "rub: brown powder": what has a colour on the finger came off."""
    for colour in named(passage, "rub_colour"):
        if colour.stated and not named(passage, "rubs_off"):
            passage.mentions.append(
                Mention(colour.first, colour.last, "rubs_off", True, hedged=colour.hedged)
            )


def _worst_at_the_edge(passage: Passage) -> None:
    """As in "worst along the fence": the edge of the field is a place of its own."""
    for gradient in named(passage, "gradient_from_edge"):
        edge = set(gradient.form.split()) & _FIELD_EDGES and "distance" not in gradient.form
        if edge and gradient.stated and not any(m.value in ("edge", "end_rows") for m in passage.live):
            passage.mentions.append(Mention(gradient.first, gradient.last, "distribution", "edge"))


def _stages_to_come(passage: Passage) -> None:
    """As in "ten days to dent": a stage that is so many days off is not today's."""
    for stage in named(passage, "growth_stage"):
        before = passage.words(stage.first - 2, stage.first)
        if len(before) == 2 and before[0] in _SPANS and before[1] in _UNTIL:
            stage.drop("still to come")


def _letters_of_ratings(passage: Passage) -> None:
    """As in "MR for tar spot"; "Mr Hansen" rates nothing."""
    for rating in named(passage, "hybrid_rating"):
        after = passage.words(rating.last, rating.last + 1)
        if rating.form in ("mr", "ms") and after and after[0] not in _AFTER_RATING:
            rating.drop("a man's title")


def _yellow_margins(passage: Passage) -> None:
    """Yellow edges are at the margin of the leaf."""
    if named(passage, "leaf_zone"):
        return
    for pattern in named(passage, "yellowing_pattern"):
        if pattern.value == "margin" and pattern.stated:
            passage.mentions.append(Mention(pattern.first, pattern.last, "leaf_zone", "margin"))
            return


def _reached_ago(passage: Passage) -> None:
    """As in "dented a week ago": the crop has reached the stage and stands at it or beyond."""
    for stage in (m for m in passage.mentions if m.attribute == "growth_stage" and m.form in _REACHED):
        ago = set(passage.words(stage.last, stage.last + 5)) & {"ago", "back"}
        if ago and not stage.dropped and stage.when in ("past", "then"):
            stage.when = "now"
            stage.relation = None if stage.value == "R5" else Relation.AFTER


_RULES = (
    _stages_to_come,
    _letters_of_ratings,
    _yellow_margins,
    _worst_at_the_edge,
    _colour_came_off,
    _dusty_rust,
    _rained,
    _reached_ago,
    _specks_said_twice,
    _loose_sizes,
    _general_with_kind,
    _hairs_stick_up,
    _fingers_without_colour,
    _silking_dated,
    _dates_of_warmth,
)

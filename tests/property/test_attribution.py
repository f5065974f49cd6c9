"""Shares of causes against the mean over all orders, walked one by one; and what is known of it."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribstitch.planning.attribution import Worth, attribute, whole_parts
from tests.property.settings import examples

NAMES = ("a", "b", "c", "d", "e")
Game = Mapping[frozenset[str], Worth | None]


@st.composite
def games(draw: st.DrawFn, most: int = 4) -> Game:
    """Draw what each set of causes leads to, two numbers; some sets cannot stand."""
    names = NAMES[: draw(st.integers(1, most))]
    worths = st.tuples(st.integers(-30, 30), st.integers(-900, 900))
    sets = [
        frozenset(one for place, one in enumerate(names) if mask >> place & 1)
        for mask in range(1 << len(names))
    ]
    ends = {sets[0], sets[-1]}
    return {one: draw(worths if one in ends else worths | st.none()) for one in sets}


def whole(game: Game) -> frozenset[str]:
    """Return all causes of a game."""
    return max(game, key=len)


def slow(game: Game) -> dict[str, list[Fraction]] | None:
    """Return the mean over every order whose every step stands; None: there is no such order."""
    shares = {one: [Fraction(0), Fraction(0)] for one in whole(game)}
    walked = 0
    for order in permutations(sorted(whole(game))):
        stops = [game[frozenset(order[:place])] for place in range(len(order) + 1)]
        if None in stops:
            continue
        walked += 1
        for place, one in enumerate(order):
            for thing in (0, 1):
                shares[one][thing] += stops[place + 1][thing] - stops[place][thing]  # type: ignore[index]
    if not walked:
        return None
    return {one: [part / walked for part in parts] for one, parts in shares.items()}


@given(games())
@examples(60)
def test_shares_are_the_mean_over_all_orders_that_can_be_walked(game: Game) -> None:
    found = attribute(whole(game), game.__getitem__)
    expected = slow(game)
    if expected is not None:
        assert {one.causes: list(one.parts) for one in found} == {
            (name,): parts for name, parts in expected.items()
        }
    for thing in (0, 1):
        moved = game[whole(game)][thing] - game[frozenset()][thing]  # type: ignore[index]
        assert sum(one.parts[thing] for one in found) == moved
        assert sum(whole_parts([one.parts[thing] for one in found])) == moved
    assert sorted(name for one in found for name in one.causes) == sorted(whole(game))


@given(games(), st.randoms(use_true_random=False))
@examples(20)
def test_the_order_in_which_causes_are_given_plays_no_part(game: Game, shuffling: object) -> None:
    mixed = sorted(whole(game))
    shuffling.shuffle(mixed)  # type: ignore[attr-defined]
    assert attribute(mixed, game.__getitem__) == attribute(sorted(mixed), game.__getitem__)
    drawn = [attribute(one, game.__getitem__, most_exact=0) for one in (mixed, sorted(mixed))]
    assert drawn[0] == drawn[1]


@given(games(3))
@examples(20)
def test_a_cause_that_moves_nothing_gets_nothing(game: Game) -> None:
    with_idle = {one | extra: worth for one, worth in game.items() for extra in ({"z"}, set())}
    for most_exact in (7, 0):
        found = attribute(whole(with_idle), with_idle.__getitem__, most_exact=most_exact)
        idle = next(one for one in found if "z" in one.causes)
        assert idle.causes != ("z",) or list(idle.parts) == [0, 0]


@given(st.dictionaries(st.tuples(st.integers(0, 2), st.booleans()), st.integers(-9, 9)))
@examples(20)
def test_causes_that_act_alike_get_the_same(by_count: dict[tuple[int, bool], int]) -> None:
    """What "a" and "b" lead to hangs on how many of them are in, and on whether "c" is."""

    def ask(inside: frozenset[str]) -> Worth:
        return (by_count.get((len(inside & {"a", "b"}), "c" in inside), 0),)

    first, second, _ = attribute("abc", ask)
    assert first.parts == second.parts


def test_a_left_glove_is_worth_what_the_right_ones_leave_it() -> None:
    """One of two left gloves and the only right one make a pair: 1/6, 1/6 and 2/3 (by hand,
    over the six orders)."""

    def ask(inside: frozenset[str]) -> Worth:
        return (int("right" in inside and bool(inside & {"left 1", "left 2"})),)

    found = {one.causes[0]: one.parts[0] for one in attribute(("left 1", "left 2", "right"), ask)}
    assert found == {
        "left 1": Fraction(1, 6),
        "left 2": Fraction(1, 6),
        "right": Fraction(2, 3),
    }


@pytest.mark.parametrize("most_exact", [7, 0])
def test_a_runway_is_paid_by_those_who_need_each_stretch(most_exact: int) -> None:
    """
    Littlechild and Owen (1973), "A simple expression for the Shapley value in a special case",
    *Management Science* 20: each stretch of a runway is shared by those who need it.

    Needs of 12, 28 and 40: the first pays 12/3, the next 16/2 more, the last 12 more. Drawn
    orders come as near as the sampling lets them, and always add up.
    """
    needs = {"light": 12, "middle": 28, "heavy": 40}

    def ask(inside: frozenset[str]) -> Worth:
        return (max((needs[one] for one in inside), default=0),)

    found = attribute(needs, ask, seed=1, most_exact=most_exact, most_asked=3000)
    parts = {one.causes[0]: one.parts[0] for one in found}
    assert sum(parts.values()) == 40
    expected = {"light": 4, "middle": 12, "heavy": 24}
    if most_exact:
        assert parts == expected
    else:
        assert all(abs(parts[name] - expected[name]) < 1 for name in needs)


def test_a_cause_that_needs_another_is_told_after_it() -> None:
    """The need is in from the first step on, so the other gets what is on top of it."""

    def ask(inside: frozenset[str]) -> Worth | None:
        return None if inside == {"late"} else (5 * len(inside),)

    assert [list(one.parts) for one in attribute(("late", "need"), ask)] == [[5], [5]]


@pytest.mark.parametrize("most_exact", [7, 0])
def test_causes_that_only_stand_together_are_told_together(most_exact: int) -> None:
    def ask(inside: frozenset[str]) -> Worth | None:
        return None if len(inside & {"a", "b"}) == 1 else (len(inside),)

    found = attribute(("b", "c", "a"), ask, most_exact=most_exact)
    assert [(one.causes, *one.parts) for one in found] == [(("a", "b"), 2), (("c",), 1)]


@given(st.lists(st.fractions(-40, 40, max_denominator=60), max_size=7))
@examples(40)
def test_rounded_parts_are_neighbours_and_add_up(parts: list[Fraction]) -> None:
    parts = [*parts, -sum(parts, Fraction(0)) + 3]
    rounded = whole_parts(parts)
    assert sum(rounded) == 3
    assert all(abs(one - part) < 1 for one, part in zip(rounded, parts, strict=True))


def test_what_remains_goes_to_the_largest_remainders() -> None:
    """By hand: 2.4 + 2.4 + 0.2 = 5; two and two are down, one day is left, the first has it."""
    assert whole_parts([Fraction(12, 5), Fraction(12, 5), Fraction(1, 5)]) == (3, 2, 0)
    assert whole_parts([Fraction(1, 2), Fraction(-1, 2)]) == (0, 0)

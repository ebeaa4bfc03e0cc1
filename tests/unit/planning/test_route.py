"""The order of shops against every order there is."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from itertools import pairwise, permutations, product

import pytest

from assistant.errors import UsageError
from assistant.planning.route import MOST_SHOPS, best_route, route_minutes

Minutes = Mapping[tuple[str, str], float]


def drawn(chance: random.Random, count: int) -> tuple[list[str], dict[tuple[str, str], float], dict[str, int]]:
    """Draw shops, minutes that differ there and back, of which many are alike, and ranks of some of the shops."""
    shops = [f"S-{n:02}" for n in chance.sample(range(99), count)]
    places = [*shops, "HOME"]
    most = chance.choice((3, 60))
    minutes = {pair: chance.randint(0, most) / chance.choice((1, 4)) for pair in product(places, places)}
    ranks = {shop: chance.randint(1, 3) for shop in shops if chance.random() < 0.6} if chance.random() < 0.7 else {}
    return shops, minutes, ranks


def brute_force(shops: Sequence[str], minutes: Minutes, start: str, ranks: Mapping[str, int]) -> tuple[str, ...]:
    """Go through every order and keep the shortest of those that keep the ranks, the first by name among equals."""

    def way(order: tuple[str, ...]) -> float:
        return sum(minutes[pair] for pair in pairwise((start, *order) if start else order))

    last = 1 + max(ranks.values(), default=0)
    allowed = [
        order
        for order in permutations(shops)
        if all(ranks.get(one, last) <= ranks.get(next_, last) for one, next_ in pairwise(order))
    ]
    return min(allowed, key=lambda order: (way(order), order))


@pytest.mark.parametrize("start", ["", "HOME"])
def test_no_allowed_order_of_up_to_eight_shops_is_better(start: str) -> None:
    """500 sets in all: 250 from nowhere, 250 from a start; 1 to 6 shops often, 7 and 8 less so, for they take long."""
    chance = random.Random(f"route{start}")
    sizes = [1 + n % 6 for n in range(210)] + [7] * 20 + [8] * 20
    for size in sizes:
        shops, minutes, ranks = drawn(chance, size)
        assert best_route(shops, minutes, start, ranks) == brute_force(shops, minutes, start, ranks)


@pytest.mark.parametrize("seed", range(4))
def test_ten_shops_against_the_shortest_way_through_the_sets_forward(seed: int) -> None:
    """The same by another way: the least cost to have been in a set of shops and to stand at one of them."""
    shops, minutes, _ = drawn(random.Random(seed), MOST_SHOPS)
    least = {(frozenset({shop}), shop): minutes["HOME", shop] for shop in shops}
    for _ in shops[1:]:
        further: dict[tuple[frozenset[str], str], float] = {}
        for (been, here), cost in least.items():
            for shop in set(shops) - been:
                key = (been | {shop}, shop)
                further[key] = min(further.get(key, 1e9), cost + minutes[here, shop])
        least = further
    order = best_route(shops, minutes, "HOME")
    assert sorted(order) == sorted(shops)
    assert sum(route_minutes(order, minutes, "HOME")) == pytest.approx(min(least.values()))


def test_the_order_does_not_hang_on_how_the_shops_were_named() -> None:
    shops = ["S-3", "S-1", "S-2"]
    minutes = dict.fromkeys(product(shops, shops), 0.1)
    for order in permutations(shops):
        assert best_route([*order, *order], minutes) == ("S-1", "S-2", "S-3")


def test_what_is_due_first_comes_first_though_the_way_is_longer() -> None:
    minutes = {("H", "A"): 1.0, ("H", "B"): 9.0, ("A", "B"): 1.0, ("B", "A"): 30.0}
    assert best_route(["A", "B"], minutes, "H") == ("A", "B")
    assert best_route(["A", "B"], minutes, "H", {"B": 1, "A": 2}) == ("B", "A")
    assert best_route(["A", "B"], minutes, "H", {"B": 1}) == ("B", "A")
    assert route_minutes(("B", "A"), minutes, "H") == [9.0, 30.0]
    assert route_minutes(("B", "A"), minutes) == [0.0, 30.0]
    assert best_route([], minutes, "H") == ()
    assert best_route(["A"], {}, "A") == ("A",)


def test_minutes_that_are_missing_are_named_where_they_are_needed() -> None:
    minutes = {("H", "A"): 1.0, ("A", "B"): 1.0}
    with pytest.raises(UsageError, match=r"^no minutes are known from H to B: add the line H,B,MINUTES$"):
        best_route(["A", "B"], {**minutes, ("B", "A"): 1.0}, "H")
    assert best_route(["A", "B"], minutes, "H", {"A": 1, "B": 2}) == ("A", "B")
    with pytest.raises(UsageError, match="from B to A"):
        route_minutes(("B", "A"), minutes)


def test_more_shops_than_can_be_ordered_are_refused() -> None:
    shops = [f"S-{n}" for n in range(MOST_SHOPS + 1)]
    with pytest.raises(UsageError, match=r"11 shops are too many .* name 10 or fewer"):
        best_route(shops, dict.fromkeys(product(shops, shops), 1.0))

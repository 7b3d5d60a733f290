"""Who comes into which group: everybody once, nobody left over."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.policy.roster.benches import (
    Benches,
    BenchGroup,
    filling_mark,
    plan_filling,
)
from results.policy.roster.filling import Odd, Order, Seat, Wish, fill

WISHES = st.builds(
    Wish,
    size=st.sampled_from([1, 2, 3]),
    order=st.sampled_from(Order),
    odd=st.sampled_from(Odd),
    seed=st.integers(0, 99),
)


def seats(names, last=None):
    return tuple(
        Seat(n, name, name, (last or {}).get(name)) for n, name in enumerate(names, 1)
    )


def names(groups):
    return ["".join(seat.name for seat in group) for group in groups]


def benches(*groups, loose=""):
    """Groups as their members' letters, at places from 1; and who is in none."""
    everybody = {seat.name: seat for seat in seats("abcdefghijklmnop")}
    return Benches(
        1,
        "A1",
        tuple(
            BenchGroup(
                pk=100 + n,
                code=str(n),
                place=n,
                members=tuple(everybody[name] for name in members.rstrip("*")),
                n_submissions=members.endswith("*"),
            )
            for n, members in enumerate(groups, start=1)
        ),
        tuple(everybody[name] for name in loose),
    )


def filled(found):
    return {
        group.code: "".join(seat.name for seat in group.members)
        for group in found.groups
    }


@pytest.mark.parametrize(
    ("size", "odd", "groups"),
    [
        (1, Odd.LARGER, ["a", "b", "c", "d", "e"]),
        (2, Odd.LARGER, ["ab", "cde"]),
        (2, Odd.SMALLER, ["ab", "cd", "e"]),
        (3, Odd.SMALLER, ["abc", "de"]),
    ],
)
def test_the_odd_one_makes_a_trio_or_a_single_by_choice(size, odd, groups):
    assert names(fill(seats("ecdba"), Wish(size=size, odd=odd))) == groups


def test_two_over_three_are_a_group_if_there_is_one_group_to_join():
    assert names(fill(seats("abcde"), Wish(size=3))) == ["abc", "de"]
    assert names(fill(seats("abcdefgh"), Wish(size=3))) == ["abcg", "defh"]


@given(n=st.integers(0, 40), wish=WISHES)
def test_everybody_is_in_one_group_of_the_size_or_one_more(n, wish):
    people = seats([f"p{one}" for one in range(n)], {"p1": 5, "p3": 5, "p4": 6})

    groups = fill(people, wish)

    assert sorted(seat.pk for group in groups for seat in group) == list(
        range(1, n + 1)
    )
    assert all(1 <= len(group) <= wish.size + 1 for group in groups)
    if wish.odd is Odd.SMALLER:
        assert sum(len(group) < wish.size for group in groups) <= (
            1 if wish.order is not Order.TOGETHER else n
        )


@given(st.permutations(range(12)))
def test_one_seed_gives_one_result_whatever_the_order_of_rows(order):
    people = seats("abcdefghijkl")
    wish = Wish(order=Order.RANDOM, seed=7)

    assert fill([people[n] for n in order], wish) == fill(people, wish)


def test_a_seed_gives_these_groups_for_ever():
    # The order of `printf "7 a" | sha256sum` and so on, by the coreutils.
    groups = fill(seats("abcdef"), Wish(order=Order.RANDOM, seed=7))

    assert names(groups) == ["bf", "ac", "ed"]


def test_other_seeds_give_other_groups():
    people = seats("abcdefghijkl")

    drawn = {fill(people, Wish(order=Order.RANDOM, seed=seed)) for seed in range(20)}

    assert len(drawn) == 20


def test_whoever_was_together_stays_together():
    people = seats("abcdef", {"a": 1, "e": 1, "b": 2})

    assert names(fill(people, Wish(order=Order.TOGETHER))) == ["ae", "bc", "df"]


def test_new_groups_come_after_those_that_are_there():
    found = plan_filling(benches("ab", "cd", loose="efgh"), Wish())

    assert filled(found) == {"3": "ef", "4": "gh"}
    assert [group.place for group in found.groups] == [3, 4]


def test_groups_that_were_made_and_have_nobody_are_filled_first():
    found = plan_filling(benches("", "ab", "", "*", loose="cdefgh"), Wish())

    assert filled(found) == {"1": "cd", "3": "ef", "5": "gh"}


def test_one_latecomer_joins_the_smallest_group_that_has_sent_nothing():
    found = plan_filling(benches("a*", "bc", "de", loose="f"), Wish())

    assert filled(found) == {"2": "bcf"}


def test_one_latecomer_is_a_single_where_every_group_has_sent_something():
    found = plan_filling(benches("ab*", "cd*", loose="e"), Wish())

    assert filled(found) == {"3": "e"}


def test_a_group_that_would_grow_beyond_one_more_is_not_joined():
    found = plan_filling(benches("abc", loose="d"), Wish())

    assert filled(found) == {"2": "d"}


def test_groups_are_made_anew_in_their_places_and_only_if_nothing_was_sent():
    wish = Wish(anew=True)

    assert filled(plan_filling(benches("ad", "cb", "e", loose="f"), wish)) == {
        "1": "ab",
        "2": "cd",
        "3": "ef",
    }
    refused = plan_filling(benches("ad*", "cb", loose="f"), wish)
    assert (refused.groups, "has submissions" in refused.refused) == ((), True)


def test_groups_that_stay_as_they_are_are_not_listed():
    assert filled(plan_filling(benches("ab", "c", loose="d"), Wish(anew=True))) == {
        "2": "cd"
    }


def test_the_mark_changes_with_people_submissions_and_the_wish():
    marks = {
        filling_mark([benches("ab", loose="c")], Wish()),
        filling_mark([benches("ab", loose="d")], Wish()),
        filling_mark([benches("ab*", loose="c")], Wish()),
        filling_mark([benches("ab", loose="c")], Wish(size=3)),
    }

    assert len(marks) == 4

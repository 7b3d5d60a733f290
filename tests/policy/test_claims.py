"""Claims in words: size, interval, groups; never a person, never more than is known."""

import dataclasses

import pytest

from results.policy.claims import (
    Claim,
    Response,
    blank_sentence,
    cannot_tell_sentence,
    claim_sentence,
    explanations,
    moved_sentence,
    no_difference_sentence,
    rests_on_sentence,
    too_few_sentence,
    wide_spread_sentence,
)

STATION = Claim(
    response=Response.SLOPE,
    factor="station",
    level="17",
    effect=3.1,
    half_width=0.7,
    n=9,
    n_set_aside=1,
    n_others=39,
    spread=0.6,
    allowing_for=("section",),
)


def claim(**changes):
    return dataclasses.replace(STATION, **changes)


def test_station_that_reads_high_is_no_matter_for_answers():
    assert claim_sentence(STATION) == (
        "Station 17 reads 3.1 ± 0.7 % above the other 39 after allowing for sections "
        "(9 groups, 1 set aside); answers are not affected."
    )


def test_lot_is_set_against_its_assigned_value_and_the_other_lots():
    lot = claim(
        response=Response.RECOVERY,
        factor="lot",
        level="L3",
        effect=-2.0,
        n=60,
        n_set_aside=0,
        n_others=5,
        allowing_for=("section", "station"),
    )

    assert claim_sentence(lot) == (
        "Lot L3 is found 2.0 ± 0.7 % below its assigned value, set against the other "
        "5 after allowing for sections and stations (60 groups); the answers of its "
        "groups are marked against a value that may be wrong."
    )


def test_bend_is_told_in_standard_deviations_with_its_direction():
    bend = claim(response=Response.CURVATURE, effect=-2.3)

    assert "Lines in station 17 bend 2.3 ± 0.7 sd more downwards than those" in (
        claim_sentence(bend)
    )


@pytest.mark.parametrize("factor", ["section", "assistant", "week"])
@pytest.mark.parametrize("response", list(Response))
def test_every_factor_and_response_has_a_sentence(response, factor):
    sentence = claim_sentence(claim(response=response, factor=factor))

    assert f"{factor} 17" in sentence
    assert "9 groups" in sentence


def test_level_like_the_others_is_said_to_be_so_with_its_interval():
    assert no_difference_sentence(claim(effect=-0.4)) == (
        "Station 17 does not differ from the other 39 beyond chance and the "
        "usual spread of 0.6 %: −0.4 ± 0.7 % (9 groups, 1 set aside)."
    )


def test_fewer_than_five_groups_claim_nothing():
    assert too_few_sentence(claim(n=4, n_set_aside=0)) == (
        "Station 17: 4 groups; fewer than 5 left to compare claim nothing."
    )


def test_what_cannot_be_told_apart_names_both():
    sentence = cannot_tell_sentence(STATION, "lot", "L2")

    assert sentence.startswith("Cannot tell: something is off by +3.1 ± 0.7 %")
    assert "station 17 had nearly the same groups as lot L2" in sentence


def test_partner_with_many_groups_in_common_is_named_first():
    could_be = explanations(Response.SLOPE, "station", "section A3", 0.6)

    assert could_be[0] == "Many of these groups also had section A3: look there, too."
    assert len(could_be) > 1


def test_partner_with_few_groups_in_common_is_not_named():
    assert explanations(Response.SLOPE, "week", "section A3", 0.2) == explanations(
        Response.SLOPE, "week"
    )


def test_claim_tells_what_it_rests_on():
    assert rests_on_sentence("section", "A3", -0.8, " %") == (
        "Without section A3 it would be −0.8 %."
    )
    assert rests_on_sentence("group", "12", float("nan"), " %") == (
        "Without one group nothing would be left to claim."
    )


def test_warnings_name_the_station_and_what_to_do():
    assert "check standard" in moved_sentence("17", 5)
    assert "98.7 %T instead of 100 %T" in blank_sentence("17", 98.7, 100.0, " %T")


def test_wide_lot_may_have_segregated():
    assert wide_spread_sentence("L3", 2.9, 1.1) == (
        "Groups with lot L3 scatter by 2.9 %, usual is 1.1 %: it may have segregated. "
        "Mix it again and take new vials."
    )


def test_nothing_is_never_minus_nothing():
    assert "+0.0 ± 0.7 %" in no_difference_sentence(claim(effect=-0.04))

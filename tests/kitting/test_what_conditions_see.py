"""What conditions see of a place: of a part that stands there its attributes, of one that is gone nothing."""

from __future__ import annotations

from tappetry.kitting.options import plain_option
from tappetry.kitting.resolve import attempt
from tappetry.services.kits import identify_job, request_of
from tests.kitting.support import Ask, demo


def test_a_part_that_is_taken_out_for_good_is_not_seen_as_if_it_stood_there() -> None:
    """Studs take the place of the head bolts: the bolts had a length, the empty place has none.

    Engines with a history of detonation get studs: common practice, no source.
    """
    job = Ask("A03", "B1", facts={"detonation-history": True}).job()
    request = request_of(demo(), job, identify_job(demo(), job))
    problem, solution, _ = attempt(request)
    assert solution is not None
    views = problem.views(solution.chosen)
    assert views["head_studs"]["renewed"]
    assert request.fixed["found_head_bolts_main"]["upper_length_mm"] == 175.0
    gone = views["head_bolts_main"]
    assert (gone["state"], gone["fitted"]) == ("none", False)
    assert "upper_length_mm" not in gone
    kept = views["rocker_arms"]
    assert kept["state"] == "reuse"
    assert kept["ratio"] == request.fixed["found_rocker_arms"]["ratio"] == 1.65


def test_what_tells_options_apart_stands_in_the_order_of_names() -> None:
    """Sets that are equal may be walked in different orders, and what is remembered is shared by all."""
    size = {"width": 2.0, "height": 1.0, "length": 3.0, "depth": 4.0}
    option = plain_option("reuse", size, renewed=False)
    names = ["height", "depth", "width", "length"]
    for turned in (names, names[::-1]):
        assert option.projection(frozenset(turned)) == (4.0, 1.0, 3.0, 2.0)

"""Searches as long work: asked for from the app, stopped, taken up again, and kept with what they found.

What a search has turned lies in a file of the shop's folder as long as it is not done, so that one that was
stopped, or whose server was, goes on where it was. The mark of a task is made of the job, the wish and the
shop's text: the same question is answered once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields, replace
from math import inf, isfinite
from pathlib import Path
from typing import Any

from tappetry.jobs.reader import read_job_data
from tappetry.records.problems import Refusal
from tappetry.search.goals import Figures, Goal
from tappetry.search.turning import Turned
from tappetry.services.curves import model_mark
from tappetry.services.queue import Report, Wanted, key_of
from tappetry.services.search import Excluded, Searched, Weighed, Wish, search
from tappetry.services.search_cams import Camshaft
from tappetry.services.search_memory import plain_turned, turned_of
from tappetry.services.shop import Shop
from tappetry.services.simulate import versions
from tappetry.simulation.engine import Mesh

KIND = "camshaft search"
FOLDER = "searches"
"""Of the shop's folder: what searches that are not done have turned by now."""


def wanted_search(shop: Shop, document: Mapping[str, Any], wish: Wish) -> Wanted:
    """The task of a search for a job, whose content is that of a job file."""
    content = {
        "job": document,
        "wish": _plain_wish(wish),
        "model": model_mark(),
        "versions": versions(shop),
    }
    return Wanted(
        key=key_of(KIND, {**content, "wish": _plain_wish(replace(wish, workers=1))}),
        kind=KIND,
        title=f"camshafts for {document['job']}: {', '.join(goal.value for goal in wish.goals)}",
        task=content,
    )


def work_search(shop: Shop, task: Mapping[str, Any], report: Report) -> dict[str, Any]:
    """Search, and return all that is needed to show what was found, and to find it again.

    Raises
    ------
    BadInput
        A wish cannot be met as it is said.
    Refusal
        No camshaft stays in, or the shop's text changed since it was asked for.
    """
    document, wish = task["job"], wish_of(task["wish"])
    wanted = wanted_search(shop, document, wish)
    if wanted.task != task:
        raise Refusal(
            "The shop's text says otherwise than when the search was asked for.",
            ways_out=["ask for the search again"],
        )
    job = read_job_data(document, shop.knowledge, f"job {document['job']}")
    file = _file(shop, wanted.key)
    found = search(shop, job, wish, report, file)
    file.unlink(missing_ok=True)
    return {
        "variant": found.variant,
        "front": [_plain_weighed(each) for each in found.front],
        "beaten": [_plain_weighed(replace(each, turned=Turned((), None))) for each in found.beaten],
        "excluded": [{"candidate": asdict(each.camshaft), "why": each.why} for each in found.excluded],
        "not_ground": found.not_ground,
        "made_with": dict(found.made_with),
    }


def kept_search(task: Mapping[str, Any], result: Mapping[str, Any]) -> Searched:
    """What a search found, as it was kept; the curves are those of the front alone."""
    return Searched(
        job=str(task["job"]["job"]),
        variant=str(result["variant"]),
        wish=wish_of(task["wish"]),
        front=tuple(_weighed(each) for each in result["front"]),
        beaten=tuple(_weighed(each) for each in result["beaten"]),
        excluded=tuple(Excluded(Camshaft(**each["candidate"]), each["why"]) for each in result["excluded"]),
        not_ground=int(result["not_ground"]),
        made_with=result["made_with"],
    )


def wish_of(data: Mapping[str, Any]) -> Wish:
    """A wish out of plain data; what was not known yet when it was written is as usual."""
    return Wish(
        **{
            **{each.name: data[each.name] for each in fields(Wish) if each.name in data},
            "goals": tuple(Goal(name) for name in data["goals"]),
            "free": {name: (low, high) for name, (low, high) in data["free"].items()},
            "mesh": Mesh(**data["mesh"]),
        }
    )


def _plain_wish(wish: Wish) -> dict[str, Any]:
    return {
        **asdict(wish),
        "goals": [goal.value for goal in wish.goals],
        "free": {name: list(ends) for name, ends in wish.free.items()},
    }


def _plain_weighed(each: Weighed) -> dict[str, Any]:
    return {
        "candidate": asdict(each.camshaft),
        "turned": plain_turned(each.turned),
        "figures": asdict(each.figures),
        "less": _plain_ends(each.less),
        "more": _plain_ends(each.more),
    }


def _weighed(data: Mapping[str, Any]) -> Weighed:
    return Weighed(
        Camshaft(**data["candidate"]),
        turned_of(data["turned"]),
        Figures(**data["figures"]),
        _ends(data["less"]),
        _ends(data["more"]),
    )


def _plain_ends(ends: Mapping[Goal, float]) -> dict[str, float | None]:
    """Where a goal is met at no end, its score is the least there is, and stands as None."""
    return {goal.value: value if isfinite(value) else None for goal, value in ends.items()}


def _ends(data: Mapping[str, float | None]) -> dict[Goal, float]:
    return {Goal(name): -inf if value is None else value for name, value in data.items()}


def _file(shop: Shop, key: str) -> Path:
    return shop.folder / FOLDER / f"{key[:32]}.json"

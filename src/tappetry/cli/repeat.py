"""`tappetry repeat`: a result that was kept, made again, and whether it comes out the same."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from tappetry.cli.streams import answer, show, stage

if TYPE_CHECKING:
    from tappetry.services.kept_results import Again


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    parser.add_argument(
        "result", metavar="NAME", help="that `tappetry simulate --keep` wrote, or its .json file"
    )


def run(arguments: argparse.Namespace) -> int:
    """Turn the engines again, in their numbers of then, and say what differs."""
    from tappetry.cli.simulate import tell
    from tappetry.services.curves import model_mark
    from tappetry.services.kept_results import kept_result, repeat
    from tappetry.services.shop import open_shop
    from tappetry.services.simulate import make_ready

    shop = open_shop()
    kept = kept_result(shop, arguments.result)
    with stage("kernels made ready (some ten seconds the first time)"):
        make_ready(shop, kept.found[0].described.variant)
    found = repeat(shop, kept, tell)
    model_said = "" if kept.model == model_mark() else "it was made with another state of the model"
    if arguments.json:
        answer(
            {
                "result": arguments.result,
                "model_then": kept.model,
                "model_now": model_mark(),
                "versions_then": dict(kept.versions),
                "curves": [_data(each) for each in found],
            }
        )
    else:
        from rich.text import Text

        from tappetry.cli.tables import heading

        for each in found:
            told = each.kept.described
            said = f"{told.variant} with {told.cam}, {told.cam_name}: {verdict(each)}"
            show(heading(said), *(Text(line) for line in _also(each, model_said)))
    return 0


def verdict(again: Again) -> str:
    """Whether it comes out the same."""
    if again.same:
        return "comes out the same, to the last digit"
    words = again.quantity.replace("_", " ")
    at = f"{words} at {again.speed:.0f} rpm by {again.most:.2%}"
    if again.most <= again.settled:
        return (
            f"comes out the same within what its cycles were settled to ({again.settled:.2%}): {at} at most"
        )
    return f"comes out otherwise: {at}"


def _also(again: Again, model_said: str) -> Sequence[str]:
    return [said for said in (model_said, again.text_says) if said]


def _data(again: Again) -> dict[str, Any]:
    return {
        "engine": again.kept.described.variant,
        "cam": again.kept.described.cam,
        "same": again.same,
        "same_as_settled": again.most <= again.settled,
        "most_difference": again.most,
        "quantity": again.quantity,
        "speed_rpm": again.speed,
        "settled_change": again.settled,
        "text_says": again.text_says,
    }

"""Writes all that the program says of the invented shop's jobs into a folder: run as a process of its own."""

from __future__ import annotations

import sys
from contextlib import redirect_stdout
from functools import cache
from io import StringIO
from pathlib import Path
from unittest.mock import patch

from tappetry.cli import main
from tappetry.services import kits
from tappetry.services import shop as shops
from tappetry.services.shop import make_demo_shop

#: The commands, and the name under which what each prints is kept.
SAID = {
    "J1-kit": ("kit", "J1"),
    "J5-kit": ("kit", "J5"),
    "J1-why": ("why", "J1"),
    "J1-prove": ("prove", "J1"),
    "J5-ask": ("ask", "J5"),
    "open-ask": ("ask", "open"),
    "J3-compare": ("compare", "J3"),
    "J3-drag": ("drag", "J3"),
    "refused": ("kit", "refused"),
}
PAPERS = (("quote", "J1"), ("order", "J1"), ("quote", "J5"))
#: A job in which one fact is open, and one that pins head bolts of another class than the block has.
OPEN = ("  mileage: {value: 140000 km, grade: told, source: customer}\n", "")
REFUSED = ("package: standard", "package: standard\n  pins: [IF-12HA]")


def write(out: Path) -> None:
    """Every command once; the shop is read once, and each of its jobs is solved once."""
    shop = make_demo_shop(out / "shop")
    text = (shop.jobs / "J1.yaml").read_text(encoding="utf-8")
    for name, change in (("open", OPEN), ("refused", REFUSED)):
        assert change[0] in text
        (shop.jobs / f"{name}.yaml").write_text(text.replace(*change), encoding="utf-8")
    with (
        patch.object(shops, "open_shop", lambda folder=None: shop),
        patch.object(kits, "kit_for_file", cache(kits.kit_for_file)),
    ):
        for name, (command, job) in SAID.items():
            said = StringIO()
            with redirect_stdout(said):
                main([command, str(shop.jobs / f"{job}.yaml"), "--json"])
            (out / f"{name}.json").write_text(said.getvalue(), encoding="utf-8")
        for command, job in PAPERS:
            with redirect_stdout(StringIO()):
                main([command, str(shop.jobs / f"{job}.yaml"), "--out", str(out)])


if __name__ == "__main__":
    write(Path(sys.argv[1]))

"""`tappetry prove`: every check of a kit against its limit."""

from __future__ import annotations

import argparse

from tappetry.cli.streams import answer, show
from tappetry.cli.working import declare_job, worked


def declare(parser: argparse.ArgumentParser) -> None:
    """State what the command takes."""
    declare_job(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the proofs."""
    shop, result = worked(arguments.job)
    from tappetry.cli.tables import heading
    from tappetry.presentation.as_json import proof_data, versions_data
    from tappetry.presentation.tables import doubt_note, proofs_table, remedies_table
    from tappetry.services.doubts import doubted

    result = doubted(shop, result)
    if arguments.json:
        answer(
            {
                "job": result.job.id,
                "proofs": [proof_data(each) for each in result.kit.proofs],
                "versions": versions_data(result.kit),
            }
        )
    else:
        show(proofs_table(result.kit.proofs), doubt_note(result.kit.proofs))
        tried = remedies_table(result.kit.proofs)
        if tried is not None:
            show(heading("What was tried"), tried)
    return 0

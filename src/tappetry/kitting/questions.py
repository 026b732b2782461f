"""Open questions: which slots may stand open for want of a fact, and between which answers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from tappetry.kitting.options import FITTED
from tappetry.kitting.problem import STATE, Constraint, Problem, Views
from tappetry.kitting.standing import Due, Standing, said_by
from tappetry.knowledge.language import Expression
from tappetry.knowledge.model import Rule

#: A number of pieces cannot be reckoned from what is not there either; a rule says nothing of it.
ALL_STATES = FITTED | {"none"}


def state_constraint(problem: Problem, standing: Standing, reads: Mapping[str, frozenset[str]]) -> Constraint:
    """The standing of a slot hangs on other choices: a constraint says when each option may stand."""
    root, need = standing.root, standing.need
    return Constraint(
        id=f"{need.id}-state",
        why=need.why or need.otherwise_why,
        source=need.source,
        kind=STATE,
        need=need.id,
        reads={**reads, root: reads.get(root, frozenset()) | {"standing"}},
        holds=lambda views: _stands(problem, standing, views),
        root=root,
    )


def _stands(problem: Problem, standing: Standing, views: Views) -> bool | None:
    """Whether the option of a slot is the one that its need's conditions ask for.

    Before the questions are open, an unknown state rules nothing out. A slot may stand open only where
    no settled option of it would satisfy the conditions: an open question is never a way around a rule.
    """
    view = views[standing.root]
    if view["state"] == "open":
        asked = standing.question(views)
        return asked is not None and asked.standing == view["standing"]
    due = standing.due(views)
    if not due.settled:
        return False if problem.questions_open else None
    return view["standing"] in due.ways


def open_questions(problem: Problem) -> None:
    """Give a slot an open option for each question that a missing fact, or another open slot, leaves."""
    places = {c.root: place for place, c in enumerate(problem.constraints) if c.kind == STATE}
    changed = True
    while changed:
        changed = False
        for root, standing in problem.standings.items():
            if _widen(problem, standing, places):
                changed = True
            state = problem.slots[root]
            known = {option.key for option in state.options}
            for due in _questions(problem, standing, places):
                option = standing.open_option(due)
                if option.key not in known:
                    known.add(option.key)
                    state.options.append(option)
                    changed = True
    problem.questions_open = True
    problem.forget({STATE, "match"})


def _questions(problem: Problem, standing: Standing, places: Mapping[str, int]) -> Iterator[Due]:
    """Every question that some choice of the other slots leaves open; none where all is known at once."""
    if standing.root not in places:
        return
    reads = problem.constraints[places[standing.root]].reads
    others = {root: members for root, members in reads.items() if root != standing.root}
    found: set[frozenset[str]] = set()
    for _, views in problem.combinations(others):
        due = standing.question(views)
        if due is not None and due.ways not in found:
            found.add(due.ways)
            yield due


def _widen(problem: Problem, standing: Standing, places: dict[str, int]) -> bool:
    """Let a slot hang on its pieces and its rules where these may be unknown; whether it now does.

    ``places`` say where the constraint on the standing of each slot is.
    """
    root = standing.root
    if all(option.state not in FITTED for option in problem.slots[root].options):
        return False
    counting = standing.counting or _may_be_unknown(problem, root, [standing.slot.pieces], ALL_STATES)
    matches = tuple(
        rule
        for rule in standing.slot.match
        if rule in standing.matches
        or (_speaks_of_others(problem, root, rule) and _doubtful(problem, root, rule))
    )
    if counting == standing.counting and matches == standing.matches:
        return False
    standing.counting, standing.matches = counting, matches
    wider = state_constraint(problem, standing, standing.reads())
    if root in places:
        problem.constraints[places[root]] = wider
    else:
        places[root] = len(problem.constraints)
        problem.constraints.append(wider)
    return True


def _speaks_of_others(problem: Problem, root: str, rule: Rule) -> bool:
    return not set(problem.values.reads([rule.when, rule.that])) <= {root}


def _doubtful(problem: Problem, root: str, rule: Rule) -> bool:
    """Whether a rule for the new part in a slot may say nothing, for a reason that lies outside of the part.

    Two slots that each hang on the other cannot leave each other open: only what is missing itself does.
    """
    said = said_by(rule)
    if any(problem.values.lacks_a_fact(expression) for expression in said):
        return True
    others = [other for other in problem.values.reads(said) if other != root]
    if any(root in _hangs_on(problem, other) for other in others):
        return False
    return _may_be_unknown(problem, root, said, FITTED)


def _may_be_unknown(problem: Problem, root: str, said: list[Expression], states: Set[str]) -> bool:
    """Whether a fact is missing, or a slot that is read may be open, or in such a state say too little."""
    values = problem.values
    if any(values.lacks_a_fact(expression) for expression in said):
        return True
    needed = values.needed(said)
    return any(
        option.state == "open"
        or (option.state in states and needed.get(other, frozenset()) - option.view.keys())
        for other in values.reads(said)
        if other != root
        for option in problem.slots[other].options
    )


def _hangs_on(problem: Problem, root: str) -> set[str]:
    """All slots that a slot's standing and fit hang on, also through others."""
    found: set[str] = set()
    waiting = [root]
    while waiting:
        standing = problem.standings.get(waiting.pop())
        if standing is None:
            continue
        rules = standing.slot.match
        read = problem.values.reads(
            [*standing.conditions, standing.slot.pieces, *(r.when for r in rules), *(r.that for r in rules)]
        )
        waiting += [other for other in read if other not in found and other != standing.root]
        found.update(other for other in read if other != standing.root)
    return found

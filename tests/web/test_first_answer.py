"""The first answer is told when it is whole, and only once."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.testclient import TestClient

from tappetry.web.first_answer import FirstAnswer


def test_the_first_answer_is_told_once_and_after_it_was_given() -> None:
    happened: list[str] = []
    app = FastAPI()

    @app.get("/")
    def page() -> str:
        happened.append("answers")
        return "a page"

    client = TestClient(FirstAnswer(app, lambda: happened.append("told")))
    assert client.get("/").json() == client.get("/").json() == "a page"
    assert happened == ["answers", "told", "answers"]
